/* The difference between two nurseries as a briefing for a person: what workers do differently, what is
 * promised differently, the rest, editorial changes folded, totals last. */
#include "write/briefing.h"

#include "write/place.h"

#include <string.h>

enum {
    LINE_COLUMNS = 110,
    INDENT = 4,
    WORD_COLUMNS = 10 /* of the longest direction, and a blank */
};

typedef struct Writer {
    Buffer *out;
    const Briefing *briefing;
    Arena *arena;
} Writer;

static const char *const direction_color[DIRECTIONS] = {[DIRECTION_TIGHTENED] = "\033[31m",
                                                        [DIRECTION_LOOSENED] = "\033[32m",
                                                        [DIRECTION_MOVED] = "\033[33m",
                                                        [DIRECTION_EDITORIAL] = "\033[2m"};

static void color(const Writer *writer, const char *code)
{
    if (writer->briefing->color && code) buffer_text(writer->out, code);
}

static void escaped(const Writer *writer, const char *text)
{
    buffer_escaped(writer->out, slice_of(text));
}

/* ------------------------------------------------------------------ one change */

/* A value that is too long for its line stands below the other. */
static void write_long(const Writer *writer, const Change *change)
{
    static const char *const labels[] = {"was ", "now "};
    const char *const texts[] = {change->was, change->is};
    escaped(writer, change_field(writer->arena, change));
    if (!change->was || !change->is) buffer_text(writer->out, change->is ? ": new" : ": gone");
    if (change->shape) buffer_print(writer->out, " (%s)", change->shape);
    buffer_char(writer->out, '\n');
    for (int i = 0; i < 2; i++) {
        if (!texts[i]) continue;
        buffer_spaces(writer->out, INDENT + WORD_COLUMNS + 2);
        buffer_text(writer->out, labels[i]);
        escaped(writer, texts[i]);
        buffer_char(writer->out, '\n');
    }
}

static void write_reason(const Writer *writer, const Change *change)
{
    const Item *item = change->after ? change->after->item : NULL;
    bool told = change->direction > DIRECTION_EDITORIAL || (change->cells & CELL_BIT(REASON));
    if (!item || !item->because.length || !told) return;
    buffer_spaces(writer->out, INDENT + WORD_COLUMNS + 2);
    buffer_text(writer->out, "because ");
    buffer_escaped(writer->out, item->because);
    buffer_char(writer->out, '\n');
}

static void write_change(const Writer *writer, const Change *change)
{
    const char *line = change_line(writer->arena, change), *path = change_path(writer->arena, change);
    buffer_spaces(writer->out, INDENT);
    color(writer, direction_color[change->direction]);
    buffer_text(writer->out, direction_name[change->direction]);
    color(writer, "\033[0m");
    buffer_spaces(writer->out, WORD_COLUMNS - strlen(direction_name[change->direction]) + 1);
    bool splits =
        (change->kind == CHANGE_CLAUSE || change->kind == CHANGE_CONDITION) && !change_is_trailer(change);
    if (splits && INDENT + WORD_COLUMNS + strlen(line) > LINE_COLUMNS) {
        escaped(writer, path);
        if (*path) buffer_text(writer->out, ": ");
        write_long(writer, change);
    } else {
        escaped(writer, line);
        buffer_char(writer->out, '\n');
    }
    write_reason(writer, change);
}

/* ------------------------------------------------------------------ owners and chapters */

static void write_owner(const Writer *writer, const Change *change)
{
    bool plain = change->owner_kind == BLOCK_PROTOCOL;
    buffer_spaces(writer->out, 2);
    color(writer, "\033[1m");
    if (!plain) buffer_print(writer->out, "%s ", block_types[change->owner_kind].spelling);
    escaped(writer, change->owner);
    color(writer, "\033[0m");
    Span span = change->owner_block->item->span;
    if (span.text && !span.text->built_in && *span.text->name) {
        buffer_text(writer->out, "  (");
        escaped(writer, span.text->name);
        buffer_char(writer->out, ')');
    }
    buffer_char(writer->out, '\n');
}

static void write_reach(const Writer *writer, const Change *change)
{
    const char *reach = change_reach(writer->arena, change);
    if (!reach) return;
    buffer_spaces(writer->out, INDENT);
    escaped(writer, reach);
    buffer_text(writer->out, ":\n");
}

static void write_chapter(const Writer *writer, Chapter chapter)
{
    const Diff *diff = writer->briefing->diff;
    const Change *last = NULL;
    for (size_t i = 0; i < diff->count; i++) {
        const Change *change = &diff->changes[i];
        if (change->chapter != chapter || change->kind == CHANGE_RENAMED)
            continue; /* renames stand by themselves */
        if (!last) {
            color(writer, "\033[1m");
            buffer_print(writer->out, "%s\n\n", chapter_title[chapter]);
            color(writer, "\033[0m");
        }
        Fold fold = fold_at(diff, i);
        if (fold.folded) {
            buffer_spaces(writer->out, 2);
            escaped(writer, fold_words(writer->arena, change, fold.count));
            buffer_char(writer->out, '\n');
            i += fold.count - 1;
            last = change;
            continue;
        }
        bool same_owner =
            last && last->owner_kind == change->owner_kind && !strcmp(last->owner, change->owner);
        if (!same_owner) write_owner(writer, change);
        if (!same_owner || !change_same_reach(last, change)) write_reach(writer, change);
        write_change(writer, change);
        last = change;
    }
    if (last) buffer_char(writer->out, '\n');
}

/* ------------------------------------------------------------------ a plan */

static void write_finding(const Writer *writer, const char *label, const Note *note)
{
    buffer_spaces(writer->out, INDENT);
    buffer_text(writer->out, label);
    buffer_spaces(writer->out, WORD_COLUMNS - strlen(label) + 1);
    buffer_print(writer->out, "%s: ", severity_name[note->severity]);
    escaped(writer, note->message);
    buffer_print(writer->out, " [%s]\n", note->name);
}

static void write_plan(const Writer *writer)
{
    const PlanDiff *plan = writer->briefing->plan;
    if (!plan || !plan->batch_count) return;
    color(writer, "\033[1m");
    buffer_text(writer->out, "What it does to ");
    escaped(writer, writer->briefing->plan_name);
    color(writer, "\033[0m");
    buffer_text(writer->out, "\n\n");
    for (size_t i = 0; i < plan->batch_count; i++) {
        const BatchChange *batch = &plan->batches[i];
        buffer_text(writer->out, "  batch ");
        escaped(writer, batch->batch);
        buffer_char(writer->out, '\n');
        for (size_t k = 0; k < batch->appear_count; k++) write_finding(writer, "appears", batch->appear[k]);
        for (size_t k = 0; k < batch->vanish_count; k++) write_finding(writer, "vanishes", batch->vanish[k]);
        const char *needed = needed_change_words(writer->arena, batch);
        if (needed) {
            buffer_spaces(writer->out, INDENT);
            buffer_print(writer->out, "to stick   %s\n", needed);
        }
        for (size_t k = 0; k < batch->task_count; k++) {
            buffer_spaces(writer->out, INDENT);
            buffer_text(writer->out, "tasks      ");
            escaped(writer, task_change_words(writer->arena, &batch->tasks[k]));
            buffer_char(writer->out, '\n');
        }
    }
    buffer_char(writer->out, '\n');
}

/* ------------------------------------------------------------------ the whole */

/* What is called otherwise is one line, and not folded away: all that follows goes by the new name. */
static void write_renames(const Writer *writer)
{
    const Diff *diff = writer->briefing->diff;
    bool any = false;
    for (size_t i = 0; i < diff->count; i++) {
        const Change *change = &diff->changes[i];
        if (change->kind != CHANGE_RENAMED) continue;
        if (!any) buffer_text(writer->out, "Called otherwise\n\n");
        any = true;
        buffer_print(writer->out, "  %s ", block_types[change->owner_kind].spelling);
        escaped(writer, change->owner);
        buffer_text(writer->out, ": ");
        escaped(writer, change_line(writer->arena, change));
        buffer_char(writer->out, '\n');
    }
    if (any) buffer_char(writer->out, '\n');
}

static void write_folded_editorial(const Writer *writer)
{
    size_t count = 0;
    for (size_t i = 0; i < writer->briefing->diff->count; i++) {
        const Change *change = &writer->briefing->diff->changes[i];
        count += change->chapter == CHAPTER_EDITORIAL && change->kind != CHANGE_RENAMED;
    }
    if (count)
        buffer_print(writer->out, "%s: %zu %s (--all shows %s)\n\n", chapter_title[CHAPTER_EDITORIAL], count,
                     count == 1 ? "change" : "changes", count == 1 ? "it" : "them");
}

void briefing_write_text(Buffer *out, const Briefing *briefing)
{
    Writer writer = {out, briefing, briefing->arena};
    buffer_escaped(out, slice_of(briefing->before));
    buffer_text(out, " -> ");
    buffer_escaped(out, slice_of(briefing->after));
    buffer_text(out, "\n\n");
    for (int chapter = 0; chapter < CHAPTER_EDITORIAL; chapter++) write_chapter(&writer, (Chapter)chapter);
    write_renames(&writer);
    if (briefing->all)
        write_chapter(&writer, CHAPTER_EDITORIAL);
    else
        write_folded_editorial(&writer);
    write_plan(&writer);
    buffer_text(out, briefing_sentence(briefing));
    buffer_char(out, '\n');
    const char *left_out = briefing_left_out(briefing);
    if (left_out) buffer_print(out, "%s\n", left_out);
    if (!briefing->plan) return;
    escaped(&writer, briefing->plan_name);
    buffer_print(out, ": %s\n", plan_sentence(writer.arena, briefing->plan));
}
