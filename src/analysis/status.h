/* How a batch stands today: where it is, how many live and how that is known, and what is to be done.
 *
 * Given a batch with its dates and its record, says in which stage it is, what its ledger knows, what is
 * overdue and what comes next. A stage that ends by a sign goes on until the sign is recorded, however long
 * ago it should have been over. What nobody counted is expected, from what the protocol states, and is said
 * to be.
 */
#ifndef ANALYSIS_STATUS_H
#define ANALYSIS_STATUS_H

#include "analysis/ledger.h"
#include "analysis/survey.h"
#include "model/trial.h"

/* What a batch asks for, the most urgent first: batches are listed in this order. */
typedef enum Urgency {
    URGENCY_FAILING, /* recorded so, and nothing better since */
    URGENCY_OVERDUE, /* work that should have been done */
    URGENCY_DUE,     /* work that can be done today */
    URGENCY_WAITING, /* its work is to come */
    URGENCY_PLANNED, /* not begun */
    URGENCY_OVER,    /* ended or abandoned */
    URGENCIES
} Urgency;

typedef struct StatusTask {
    Name name; /* NULL: there is none */
    Day day;   /* planned; of a task that waits for the weather the last day */
} StatusTask;

/* A treatment after which nobody may enter yet. What was treated may have moved on since; the place has not.
 */
typedef struct StatusShut {
    const char *batch;
    const RecordLine *line;
    const Block *place; /* where the batch stood on that day; NULL: unknown */
} StatusShut;

typedef struct Status {
    const char *batch;
    const char *plant; /* as people call it; "" */
    Name protocol;
    Urgency urgency;
    const char *phase; /* its stage; else "planned", "taken", "all stages over", "ended", "abandoned" */
    Day since; /* when that began; of what is not stuck yet the day it is planned for; DAY_NONE: unknown */
    Day over_since;       /* it should be over since then: the stage waits for its sign, or nobody wrote that
                             it was stuck; DAY_NONE: it may well go on */
    const Block *place;   /* where it stands; NULL: unknown, or it is over */
    LedgerAlive alive;    /* LEDGER_UNKNOWN: nothing is recorded; `count` less all that was taken off */
    LedgerRooted rooted;  /* by the last full count */
    LedgerRooted sampled; /* by the last sample, where no count is younger */
    bool has_expected;    /* nobody has looked for roots, and the protocol states what is lost until then: */
    double expected;      /* of those stuck so many root on average */
    const RecordLine *last_look; /* NULL: nobody looked */
    const RecordLine *failing, *ended;
    StatusShut shut;         /* what keeps shut longest, over or not; its line NULL: nothing was treated */
    const StatusShut *shuts; /* all that hold today, over whatever place … */
    size_t shut_count;       /* … so many */
    StatusTask overdue;      /* the oldest … */
    size_t overdue_count;    /* … of so many tasks */
    StatusTask next;         /* due, or the first to come */
} Status;

/* Today is that of the survey, and is a day. What it points at lives in `lasting`, or as long as the nursery.
 */
Status status_of(const FactSource *source, const Ledgers *ledgers, const Trials *trials, Arena *lasting,
                 const SurveyBatch *batch);

/* For qsort: by urgency, then by the day of what is to be done, then by name. */
int status_compare(const void *a, const void *b);

#endif
