/* Lines that are to be recorded and stand in no file yet.
 *
 * An entry is what one line of a record will say, read by the reader of files, so that it can be put into a
 * nursery as if it stood there. It comes from a line that somebody typed or from a row of a sheet of tasks
 * that was filled in and sent back; its places point at what was typed.
 */
#ifndef MODEL_ENTRY_H
#define MODEL_ENTRY_H

#include "base/buffer.h"
#include "model/nursery.h"

typedef struct Entry {
    Item block; /* record BATCH { … } around the line */
    Item line;  /* dated */
    Slice batch;
    Slice words; /* behind the day, as they will be written */
    size_t order;
    const RecordLine *read;    /* what the reader made of it; NULL: it could not be read */
    const RecordLine *said;    /* says the same and stands already; NULL */
    const RecordLine *earlier; /* a line of that batch that stands already, the last; NULL: there is none */
} Entry;

typedef struct Entries {
    Entry **at;
    size_t count;
} Entries;

/* The lines of a text for one batch. False: what is wrong was noted, and there are no entries. */
bool entries_of_line(Arena *arena, Notes *notes, const char *batch, const char *line, Entries *entries);
/* What was filled into a sheet of tasks (docs/record.md says which columns). False: as above. */
bool entries_of_sheet(Arena *arena, Notes *notes, const char *name, Slice bytes, ArenaExhausted *exhausted,
                      Entries *entries);
/* Makes an entry of a line: `batch` is one word, `value` what stands behind the day. For the two above. */
Entry *entry_new(Arena *arena, const Value *batch, const Item *line);

/* Entries as a file would hold them, to be added to a nursery. */
Tree *entries_tree(Arena *arena, const Entries *entries);
/* In a gathered nursery that they were added to: puts each behind the lines of its batch that stand in files,
 * and sets `read`, `said` and `earlier`. An entry that says what is said already is taken out of the record,
 * unless `again`. */
void entries_settle(Nursery *nursery, const Entries *entries, bool again);
/* Whether a text is what an entry was read from. */
bool entries_come_from(const Entries *entries, const Text *text);
/* `record H27-06 { 9 Jul 2027 sample 16: callused 13, bare 2 }`, without the end of the line. */
void entry_write(Buffer *out, const Entry *entry);

#endif
