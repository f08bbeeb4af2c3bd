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
    static const char special[] = "\\`*_{}[]<>#|~";
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
    for (size_t i = 0; i < change->reach_count; i++) {
        buffer_text(writer->out, i ? ", " : "; felt by ");
        escaped(writer, change->reaches[i]);
    }
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
    for (int chapter = 0; chapter < CHAPTERS; chapter++) write_chapter(&writer, (Chapter)chapter);
}
