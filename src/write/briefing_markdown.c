/* The difference between two nurseries as Markdown, for the description of a merge request. Words of the
 * nursery are escaped, so that nothing in them becomes markup. */
#include "write/briefing.h"

#include <string.h>

typedef struct Writer {
    Buffer *out;
    const Briefing *briefing;
} Writer;

static void escaped(const Writer *writer, const char *text)
{
    static const char special[] = "\\`*_{}[]<>#|~&";
    while (*text) {
        size_t plain = strcspn(text, special);
        buffer_escaped(writer->out, (Slice){text, plain});
        text += plain;
        if (!*text) break;
        buffer_char(writer->out, '\\');
        buffer_char(writer->out, *text++);
    }
}

static void write_owner(const Writer *writer, const Change *change)
{
    buffer_print(writer->out, "\n**%s ", block_types[change->owner_kind].spelling);
    escaped(writer, change->owner);
    buffer_text(writer->out, "**\n\n");
}

static void write_change(const Writer *writer, const Change *change)
{
    const Item *item = change->after ? change->after->item : NULL;
    buffer_print(writer->out, "- *%s* ", direction_name[change->direction]);
    escaped(writer, change_line(writer->briefing->arena, change));
    if (item && item->because.length && change->direction > DIRECTION_EDITORIAL) {
        buffer_text(writer->out, ", because ");
        escaped(writer, arena_copy(writer->briefing->arena, item->because.at, item->because.length));
    }
    const char *reach = change_reach(writer->briefing->arena, change);
    if (reach) buffer_text(writer->out, "; ");
    if (reach) escaped(writer, reach);
    buffer_char(writer->out, '\n');
}

static void write_chapter(const Writer *writer, Chapter chapter)
{
    const Diff *diff = writer->briefing->diff;
    const Change *last = NULL;
    bool folds = chapter == CHAPTER_EDITORIAL && !writer->briefing->all;
    for (size_t i = 0; i < diff->count; i++) {
        const Change *change = &diff->changes[i];
        if (change->chapter != chapter) continue;
        if (!last) buffer_print(writer->out, "\n### %s\n", chapter_title[chapter]);
        if (!last && folds) buffer_text(writer->out, "\n<details><summary>unfold</summary>\n");
        Fold fold = fold_at(diff, i);
        if (fold.folded) {
            buffer_text(writer->out, "\n");
            escaped(writer, fold_words(writer->briefing->arena, change, fold.count));
            buffer_text(writer->out, "\n");
            i += fold.count - 1;
        } else {
            if (!last || !change_same_owner(last, change)) write_owner(writer, change);
            write_change(writer, change);
        }
        last = change;
    }
    if (last && folds) buffer_text(writer->out, "\n</details>\n");
}

static void write_plan(const Writer *writer)
{
    const PlanDiff *plan = writer->briefing->plan;
    if (!plan) return;
    buffer_text(writer->out, "\n### What it does to ");
    escaped(writer, writer->briefing->plan_name);
    buffer_text(writer->out, "\n\n");
    escaped(writer, plan_sentence(writer->briefing->arena, plan));
    buffer_char(writer->out, '\n');
    for (size_t i = 0; i < plan->batch_count; i++) {
        const BatchChange *batch = &plan->batches[i];
        buffer_text(writer->out, "\n**batch ");
        escaped(writer, batch->batch);
        buffer_text(writer->out, "**\n\n");
        for (size_t k = 0; k < batch->appear_count + batch->vanish_count; k++) {
            bool appears = k < batch->appear_count;
            const Note *note = appears ? batch->appear[k] : batch->vanish[k - batch->appear_count];
            buffer_print(writer->out, "- *%s* %s: ", appears ? "appears" : "vanishes",
                         severity_name[note->severity]);
            escaped(writer, note->message);
            buffer_print(writer->out, " (%s)\n", note->name);
        }
        const char *needed = needed_change_words(writer->briefing->arena, batch);
        if (needed) {
            buffer_text(writer->out, "- to stick ");
            escaped(writer, needed);
            buffer_char(writer->out, '\n');
        }
        for (size_t k = 0; k < batch->task_count; k++) {
            buffer_text(writer->out, "- tasks ");
            escaped(writer, task_change_words(writer->briefing->arena, &batch->tasks[k]));
            buffer_char(writer->out, '\n');
        }
    }
}

void briefing_write_markdown(Buffer *out, const Briefing *briefing)
{
    Writer writer = {out, briefing};
    buffer_text(out, "## ");
    escaped(&writer, briefing->before);
    buffer_text(out, " → ");
    escaped(&writer, briefing->after);
    buffer_text(out, "\n\n");
    buffer_text(out, briefing_sentence(briefing));
    buffer_char(out, '\n');
    const char *left_out = briefing_left_out(briefing);
    if (left_out) buffer_print(out, "\n%s\n", left_out);
    for (int chapter = 0; chapter < CHAPTERS; chapter++) write_chapter(&writer, (Chapter)chapter);
    write_plan(&writer);
}
