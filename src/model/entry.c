/* Lines to be recorded, from what was typed: see entry.h.
 *
 * A typed line is read like a file that holds nothing but dated lines; each of them is then set into a block
 * of its own. Whether batch, words and days are right is asked of the nursery that they are put into.
 */
#include "model/entry.h"

#include "base/vec.h"
#include "syntax/read.h"

#include <stdlib.h>
#include <string.h>

static const char typed[] = "what you typed";

/* ------------------------------------------------------------------ what was typed */

/* The batch's name, which must be one word. */
static bool read_batch(Arena *arena, Notes *notes, const char *batch, Value *value)
{
    Text *text = text_new(arena, typed, batch, (uint32_t)strlen(batch), 1);
    Span span = {text, 0, text->length};
    size_t before = notes_total(notes);
    bool read = syntax_read_value(arena, text, span, notes, value);
    const Part *part = read && value->first ? value->first->first->first : NULL;
    if (part && part->kind == PART_WORD && part->word.length == text->length) return true;
    if (notes_total(notes) == before)
        notes_add(notes, SEVERITY_ERROR, "value", span,
                  "a batch is called by one word that begins with a letter: H27-06");
    return false;
}

static void refuse_undated(Notes *notes, const Item *item)
{
    notes_add(notes, SEVERITY_ERROR, "value", item->span,
              "a line of a record begins with its day: 9 Jul 2027 counted callused 231 of 308");
}

bool entries_of_line(Arena *arena, Notes *notes, const char *batch, const char *line, Entries *entries)
{
    VEC(Entry *) list = {0};
    Value name;
    size_t before = notes_total(notes);
    Text *text = text_new(arena, typed, line, (uint32_t)strlen(line), 1);
    bool named = read_batch(arena, notes, batch, &name);
    const Tree *tree = syntax_read(arena, text, notes);
    for (const Item *item = tree->first; item; item = item->next) {
        if (item->kind == ITEM_DATED && named)
            VEC_PUSH(arena, &list, entry_new(arena, &name, item));
        else if (item->kind != ITEM_DATED && item->kind != ITEM_BROKEN)
            refuse_undated(notes, item);
    }
    if (!tree->first && notes_total(notes) == before)
        notes_add(notes, SEVERITY_ERROR, "value", (Span){text, 0, text->length},
                  "there is nothing to record: give a day and what happened");
    for (size_t i = 0; i < list.count; i++) list.at[i]->order = i;
    *entries = (Entries){list.at, list.count};
    return notes_total(notes) == before;
}

/* ------------------------------------------------------------------ an entry */

Entry *entry_new(Arena *arena, const Value *batch, const Item *line)
{
    Entry *entry = ARENA_NEW(arena, Entry);
    entry->line = *line;
    entry->line.next = NULL;
    entry->words = slice_folded(arena, span_slice(line->value.span));
    entry->batch = batch->first->first->first->word;
    entry->block = (Item){.kind = ITEM_BLOCK,
                          .field = slice_of(block_types[BLOCK_RECORD].spelling),
                          .field_span = batch->span,
                          .value = *batch,
                          .first = &entry->line,
                          .depth = 1,
                          .span = line->span};
    return entry;
}

Tree *entries_tree(Arena *arena, const Entries *entries)
{
    Tree *tree = ARENA_NEW(arena, Tree);
    for (size_t i = entries->count; i-- > 0;) {
        entries->at[i]->block.next = tree->first;
        tree->first = &entries->at[i]->block;
    }
    return tree;
}

bool entries_come_from(const Entries *entries, const Text *text)
{
    for (size_t i = 0; i < entries->count; i++)
        if (text == entries->at[i]->line.span.text || text == entries->at[i]->block.value.span.text)
            return true;
    return false;
}

void entry_write(Buffer *out, const Entry *entry)
{
    char day[DAY_TEXT];
    buffer_text(out, block_types[BLOCK_RECORD].spelling);
    buffer_char(out, ' ');
    buffer_slice(out, entry->batch);
    buffer_text(out, " { ");
    buffer_bytes(out, day, day_write(day, entry->line.date));
    buffer_char(out, ' ');
    buffer_slice(out, entry->words);
    buffer_text(out, " }");
}

/* ------------------------------------------------------------------ beside what stands already */

static int by_batch(const void *a, const void *b)
{
    const Entry *x = *(Entry *const *)a, *y = *(Entry *const *)b;
    int order = slice_compare(x->batch, y->batch);
    return order ? order : x->order < y->order ? -1 : x->order > y->order;
}

static const RecordLine *line_that_says(const RecordLine *lines, const RecordLine *what)
{
    for (const RecordLine *line = lines; line; line = line->next)
        if (record_line_repeats(what, line)) return line;
    return NULL;
}

/* The line that was made of an entry; NULL: it could not be read. It is taken out of the list. */
static RecordLine *take_line(RecordLine **lines, const Entry *entry)
{
    for (; *lines; lines = &(*lines)->next) {
        RecordLine *line = *lines;
        if (line->item != &entry->line) continue;
        *lines = line->next;
        line->next = NULL;
        return line;
    }
    return NULL;
}

/* All entries of one batch. */
static void settle_batch(Block *record, Entry *const *entries, size_t count, RecordLine **lines, bool again)
{
    for (size_t i = 0; i < count; i++) lines[i] = take_line(&record->lines, entries[i]);
    const RecordLine *earlier = record->lines;
    while (earlier && earlier->next) earlier = earlier->next;
    RecordLine **end = &record->lines;
    for (size_t i = 0; i < count; i++) {
        entries[i]->read = lines[i];
        entries[i]->earlier = earlier;
        entries[i]->said = lines[i] ? line_that_says(record->lines, lines[i]) : NULL;
        if (!lines[i] || (entries[i]->said && !again)) continue;
        while (*end) end = &(*end)->next;
        *end = lines[i];
    }
}

void entries_settle(Nursery *nursery, const Entries *entries, bool again)
{
    Entry **sorted = ARENA_ARRAY(nursery->arena, Entry *, entries->count);
    RecordLine **lines = ARENA_ARRAY(nursery->arena, RecordLine *, entries->count);
    if (entries->count) memcpy(sorted, entries->at, entries->count * sizeof *sorted);
    qsort(sorted, entries->count, sizeof *sorted, by_batch);
    for (size_t i = 0, next; i < entries->count; i = next) {
        for (next = i + 1; next < entries->count && slice_equal(sorted[next]->batch, sorted[i]->batch);)
            next++;
        Block *record = nursery_record(nursery, sorted[i]->batch);
        if (record) settle_batch(record, &sorted[i], next - i, lines, again);
    }
}
