/* Judging lines that are to be recorded, as the reader of the nursery would judge them. */
#ifndef CMD_JUDGE_RECORD_H
#define CMD_JUDGE_RECORD_H

#include "cmd/job.h"
#include "model/entry.h"

/* A nursery that is read with entries in it. */
typedef struct Judged {
    const char *const *paths; /* where it is, as load_paths takes them */
    size_t path_count;
    Load load; /* its notes too; in an arena of its own */
} Judged;

/* Reads the nursery with the entries as if they stood in it, and forgets what was read before; what stands
 * there already is taken out of it unless `again`. */
void judged_read(Judged *judged, const Entries *entries, bool again);
void judged_free(Judged *judged);
/* Whether the entries may be recorded: their batches are there, and no error comes with them that was not
 * there without them. Leaves in the notes what comes with them, and nothing else. */
bool judged_hold(Judged *judged, const Entries *entries, Day today);

#endif
