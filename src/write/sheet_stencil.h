/* Rows of work as bytes with holes. Private to src/write.
 *
 * A task of a protocol says nearly the same in every batch: the same plant and place, the same text, but
 * another batch, number and dates. A stencil is what stays, put together once: runs of bytes, between which
 * the form puts in what changes. A row is then a few copies.
 */
#ifndef WRITE_SHEET_STENCIL_H
#define WRITE_SHEET_STENCIL_H

#include "write/sheet.h"

enum { STENCIL_RUNS = 4 }; /* as many as the form that has most */

/* What the runs may hang on, and nothing else: all else of a task goes into the holes. */
typedef struct StencilKey {
    const Protocol *protocol;
    const Block *place;
    const char *plant;
    int task; /* index in the schedule: it settles the stage, the path and the texts */
} StencilKey;

typedef struct Stencil {
    StencilKey key;
    const char *text;           /* the runs, one behind the other */
    uint32_t end[STENCIL_RUNS]; /* of each run in the text */
    bool repeats;               /* the task comes more than once: its number stands in the row */
} Stencil;

/* Writes the n-th run of a task's row. */
typedef void StencilRun(Sheet *sheet, Buffer *out, const WorkTask *task);

typedef struct Stencils Stencils;

/* Remembers up to `room` bytes of runs, and forgets all of them when it is full. With a room of 0 each row is
 * put together anew. */
Stencils *stencils_new(Arena *arena, Sheet *sheet, StencilRun *const runs[STENCIL_RUNS], size_t room);
/* The stencil of a task. It lives until the next call. */
const Stencil *stencils_of(Stencils *stencils, const WorkTask *task);

static inline Slice stencil_run(const Stencil *stencil, int n)
{
    uint32_t begin = n ? stencil->end[n - 1] : 0;
    return (Slice){stencil->text + begin, stencil->end[n] - begin};
}

static inline size_t stencil_length(const Stencil *stencil)
{
    return stencil->end[STENCIL_RUNS - 1];
}

#endif
