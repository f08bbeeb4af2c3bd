/* Pages for a person: what it is, then a table of what is known, then two examples and the places. */
#include "write/explain.h"

#include "write/place.h"

#include <string.h>

enum { TEXT_WIDTH = 92, LABEL_WIDTH = 12 };

/* Words wrapped, each line but the first behind so many blanks. */
static void wrapped(Buffer *out, const char *text, size_t indent)
{
    size_t column = indent;
    while (*text) {
        size_t length = strcspn(text, " \n");
        if (column > indent && column + length + 1 > TEXT_WIDTH) {
            buffer_char(out, '\n');
            buffer_spaces(out, indent);
            column = indent;
        } else if (column > indent) {
            buffer_char(out, ' ');
            column++;
        }
        buffer_escaped(out, (Slice){text, length});
        column += length;
        text += length;
        text += strspn(text, " \n");
    }
    buffer_char(out, '\n');
}

static void label(Buffer *out, const char *name)
{
    size_t length = strlen(name);
    buffer_print(out, "  %s", name);
    buffer_spaces(out, length < LABEL_WIDTH ? LABEL_WIDTH - length : 1);
}

static void example(Buffer *out, const char *title, const char *text)
{
    buffer_print(out, "\n  %s\n", title);
    while (*text) {
        size_t length = strcspn(text, "\n");
        buffer_text(out, "    ");
        buffer_escaped(out, (Slice){text, length});
        buffer_char(out, '\n');
        text += length + (text[length] == '\n');
    }
}

static void write_uses(Buffer *out, const Page *page)
{
    if (!page->use_count) return;
    buffer_print(out, "\n  used here %zu %s\n", page->use_count, page->use_count == 1 ? "time" : "times");
    for (size_t i = 0; i < page->uses_kept; i++) {
        Place place = place_of(page->uses[i]);
        buffer_text(out, "    ");
        buffer_escaped(out, slice_of(place.file));
        buffer_print(out, ":%u\n", place.line);
    }
    if (page->use_count > page->uses_kept)
        buffer_print(out, "    and %zu more\n", page->use_count - page->uses_kept);
}

static void write_page(Buffer *out, const Page *page)
{
    buffer_slice(out, page->topic->name);
    buffer_text(out, ": ");
    wrapped(out, page->what, page->topic->name.length + 2);
    buffer_text(out, "\n  ");
    wrapped(out, page->meaning, 2);
    if (page->facts.count) buffer_char(out, '\n');
    for (size_t i = 0; i < page->facts.count; i++) {
        label(out, page->facts.at[i].label);
        wrapped(out, page->facts.at[i].text, LABEL_WIDTH + 2);
    }
    if (page->good) example(out, "right", page->good);
    if (page->bad) example(out, "wrong", page->bad);
    if (page->told) {
        buffer_text(out, "    -> ");
        wrapped(out, page->told, 7);
    }
    write_uses(out, page);
}

static size_t count_kind(const Topics *topics, int kind)
{
    size_t count = 0;
    for (size_t i = 0; i < topics->count; i++) count += topics->at[i].kind == (TopicKind)kind;
    return count;
}

/* One name of a kind, so that there is something to try. */
static Slice first_of(const Topics *topics, int kind)
{
    for (size_t i = 0; i < topics->count; i++)
        if (topics->at[i].kind == (TopicKind)kind) return topics->at[i].name;
    return SLICE("");
}

static void write_list(Buffer *out, const Topics *topics)
{
    buffer_text(out, "heelcut explain NAME tells what a name is. There are\n\n");
    for (int kind = 0; kind < TOPIC_KINDS; kind++) {
        size_t count = count_kind(topics, kind);
        Slice first = first_of(topics, kind);
        if (!count) continue;
        buffer_print(out, "  %4zu %s", count, topic_kind_many[kind]);
        buffer_spaces(out, 36 - strlen(topic_kind_many[kind]));
        buffer_print(out, "heelcut explain %.*s\n", SLICE_ARG(first));
    }
    buffer_text(out, "\nheelcut explain --format json lists all their names.\n");
}

void explanation_write_text(Buffer *out, const Explanation *explanation)
{
    if (!explanation->name.length) {
        write_list(out, explanation->topics);
        return;
    }
    for (size_t i = 0; i < explanation->page_count; i++) {
        if (i) buffer_char(out, '\n');
        write_page(out, explanation->pages[i]);
    }
    if (explanation->left_out)
        buffer_print(out, "\nand %zu more of this nursery by that name\n", explanation->left_out);
}
