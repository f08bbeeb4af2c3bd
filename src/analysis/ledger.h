/* What is known of a batch from what was recorded: how many live, how that is known, and where the rest went.
 *
 * Lines are taken in the order of their days, lines of one day as they were written; docs/records.md says
 * what each of them does to the count. Nothing is estimated: a sample and a `check` change no number, losses
 * that a protocol reckons with take nothing off. What was alive and what was rooted are kept apart, and one
 * never stands in for the other.
 *
 * A line that cannot be true beside the others becomes a fault and is left out of account, but for a full
 * count, which is believed. What follows from a fault is not told again.
 */
#ifndef ANALYSIS_LEDGER_H
#define ANALYSIS_LEDGER_H

#include "model/nursery.h"

/* How a number is known. */
typedef enum LedgerBasis {
    LEDGER_UNKNOWN,
    LEDGER_STUCK,    /* so many were stuck */
    LEDGER_CAME,     /* so many came from another batch */
    LEDGER_COUNTED,  /* the whole batch was counted */
    LEDGER_CORRECTED /* a correction says so */
} LedgerBasis;

/* Those that live and are still in the batch. */
typedef struct LedgerAlive {
    LedgerBasis basis;
    Day since;              /* the day of what it rests on */
    const RecordLine *line; /* the line itself; of those that came the other batch's */
    int64_t count;
    int64_t less; /* what has been taken off since then: culled, dead, lost, split, restuck, sold */
} LedgerAlive;

/* Those that were rooted when somebody looked for roots. */
typedef struct LedgerRooted {
    const RecordLine *line; /* NULL: nobody did */
    int64_t count, of;      /* of so many; of a sample, of those lifted */
} LedgerRooted;

/* Plants that were potted or lifted together. */
typedef struct LedgerLot {
    Name name;      /* NULL: without a name, known by the grade or as the one lot */
    Name grade;     /* NULL: none is said */
    Name container; /* NULL: none is said */
    Verb verb;      /* POTTED or LIFTED */
    Day on;         /* when it was begun */
    int64_t count;  /* put into it */
    int64_t there;  /* less what was taken off it by name, or sold */
} LedgerLot;

/* Plants that went to another batch or came from one. */
typedef struct LedgerTransfer {
    const Block *record;    /* in which the line stands: the giving batch's */
    const RecordLine *line; /* SPLIT or RESTUCK; `line->other` is the batch that takes */
} LedgerTransfer;

/* What was known after a line. */
typedef struct LedgerStep {
    const RecordLine *line; /* of this record, or of the one from which plants came */
    LedgerBasis basis;      /* of `alive`; UNKNOWN: it is not known */
    int64_t alive;
} LedgerStep;

/* A line that cannot be true. */
typedef struct LedgerFault {
    const char *finding; /* record-count, record-order, record-batches */
    const RecordLine *line;
    Span place;
    const char *message, *instead; /* `instead` NULL: there is no more to say */
    Span other;                    /* what it is at odds with; without a text: nothing */
    const char *other_label;
} LedgerFault;

typedef struct Ledger {
    int64_t waiting; /* taken or come, and not stuck yet */
    bool has_waiting;
    Day began;     /* stuck, or the day on which the first came from another batch; DAY_NONE: not yet */
    int64_t stuck; /* all that were stuck, or came from another batch */
    LedgerAlive alive;
    LedgerRooted rooted;  /* by the last full count that names rooted ones; a yield rests on nothing else */
    LedgerRooted sampled; /* by the last sample that does */
    int64_t thrown;       /* before they were stuck */
    int64_t dead;         /* found dead, culled since or not */
    int64_t culled;       /* thrown out alive */
    int64_t lost, split, restuck, sold;
    const LedgerLot *lots;
    size_t lot_count;
    int64_t in_lots; /* of those alive; the rest, alive less this, is in no lot */
    const LedgerTransfer *came, *went;
    size_t came_count, went_count;
    const RecordLine *last_look; /* LOOK verbs; NULL: nobody looked */
    const RecordLine *last_sample, *last_count;
    const RecordLine *failing; /* the last such line that no `ready` and no end followed */
    const RecordLine *shut;    /* the treatment that keeps it shut longest */
    const RecordLine *place;   /* the last `moved` */
    const RecordLine *ended;   /* ENDED or ABANDONED */
    const LedgerStep *steps;
    size_t step_count;
    const LedgerFault *faults;
    size_t fault_count;
} Ledger;

/* What records say of each other: which batches gave plants to which. */
typedef struct Ledgers Ledgers;

/* Goes once through all records of a finished nursery; lives in `arena`. */
Ledgers *ledgers_new(Arena *arena, const Nursery *nursery);
/* The batch of a name, from its record (NULL: it has none, and knows only what came to it). Lines behind the
 * day `until` are left out; DAY_NONE: none are. What the ledger points at lives in `arena`. */
Ledger ledger_of(const Ledgers *ledgers, Arena *arena, Name batch, const Block *record, Day until);
/* What came to a batch, in the order of days; *count of them. */
const LedgerTransfer *ledgers_came(const Ledgers *ledgers, Name batch, size_t *count);

#endif
