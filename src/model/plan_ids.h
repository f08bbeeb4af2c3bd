/* Which ids a table has had, and in which line: by 64-bit hash, 12 bytes an id. Private to src/model.
 *
 * Two different ids of one hash would be taken for one: among a million ids once in thirty million tables.
 */
#ifndef MODEL_PLAN_IDS_H
#define MODEL_PLAN_IDS_H

#include "base/slice.h"

enum { ID_SHELVES = 16 };

/* The ids of one sixteenth of all hashes. */
typedef struct IdShelf {
    Arena *arena;
    uint64_t *hashes; /* 0: free */
    uint32_t *lines;
    size_t room, count;
} IdShelf;

typedef struct PlanIds {
    ArenaExhausted *exhausted;
    IdShelf shelves[ID_SHELVES];
} PlanIds;

void ids_start(PlanIds *ids, ArenaExhausted *exhausted);
void ids_free(PlanIds *ids);
/* The line in which an id stood before; 0 when it is new, and then it is remembered. */
uint32_t ids_add(PlanIds *ids, Slice id, uint32_t line);

#endif
