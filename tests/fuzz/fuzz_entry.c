/* Any bytes as a line to be recorded, and as a sheet of tasks that was filled in. It must end and stay in its
 * memory; and what would be written of it must be read as one line of a record, of that batch and day, that
 * says what the entry says. */
#include "model/entry.h"
#include "syntax/read.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

static const Block *record_in(Nursery *nursery, const Tree *tree, Slice batch)
{
    nursery_add(nursery, tree, false);
    nursery_finish(nursery);
    return nursery_record(nursery, batch);
}

static const Text *written(Arena *arena, const Entry *entry)
{
    Buffer *out = buffer_in_memory(arena);
    entry_write(out, entry);
    Slice line = buffer_slice_of(out);
    if (memchr(line.at, '\n', line.length)) abort();
    return text_new(arena, "r.heel", arena_copy(arena, line.at, line.length), (uint32_t)line.length, 1);
}

/* Put into a nursery as the command does it, and read from what it writes. */
static void judge(Arena *arena, Entry *entry)
{
    Entry *one[] = {entry};
    Notes *put = notes_new(arena, 10), *read = notes_new(arena, 10);
    Nursery *nursery = nursery_new(arena, put), *beside = nursery_beside(nursery->arena, nursery, read);
    const Block *entered = record_in(nursery, entries_tree(arena, &(Entries){one, 1}), entry->batch);
    const Block *record = record_in(beside, syntax_read(arena, written(arena, entry), read), entry->batch);
    if (notes_total(put) != notes_total(read) || !entered != !record) abort();
    if (!entered || !entered->lines) return;
    if (!record->lines || record->lines->next || !record_line_repeats(record->lines, entered->lines)) abort();
}

static void judge_all(Arena *arena, const Entries *entries)
{
    for (size_t i = 0; i < entries->count && i < 100; i++) judge(arena, entries->at[i]);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    Arena *arena = arena_new(exhausted);
    Notes *notes = notes_new(arena, 100);
    Entries entries;
    const char *text = arena_copy(arena, bytes, length);
    if (entries_of_sheet(arena, notes, "s.csv", (Slice){text, length}, exhausted, &entries))
        judge_all(arena, &entries);
    if (entries_of_line(arena, notes, "B1", text, &entries)) judge_all(arena, &entries);
    arena_free(arena);
    return 0;
}
