/* The ledger while it is being written. */
#ifndef ANALYSIS_LEDGER_WORK_H
#define ANALYSIS_LEDGER_WORK_H

#include "analysis/ledger.h"
#include "base/vec.h"

typedef struct LedgerWalk {
    Arena *arena;
    Ledger ledger;
    VEC(LedgerLot) lots;
    VEC(LedgerTransfer) went;
    VEC(LedgerStep) steps;
    VEC(LedgerFault) faults;
    const Block *record;
    const RecordLine *first; /* with which the batch begins: STUCK, or what came; NULL: it has not begun */
    bool came_as_stuck;      /* what came is what its own record calls stuck */
    int64_t said_stuck;      /* by its own record */
    Day dead_on;             /* the day on which … */
    int64_t dead_left;       /* … so many were found dead that nobody has culled yet */
    bool doubtful;           /* a fault has left the number open until the next count or correction */
} LedgerWalk;

/* What a line does to the numbers; one that cannot be true becomes a fault. */
void ledger_take(LedgerWalk *walk, const RecordLine *line);
/* Plants that came from another batch. */
void ledger_come(LedgerWalk *walk, const RecordLine *line);
LedgerFault *ledger_fault(LedgerWalk *walk, const char *finding, const RecordLine *line, Span place,
                          const char *format, ...) __attribute__((format(printf, 5, 6)));

#endif
