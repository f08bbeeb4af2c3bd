/* What the files of the check share. Private to src/analysis. */
#ifndef ANALYSIS_LINT_WORK_H
#define ANALYSIS_LINT_WORK_H

#include "analysis/context.h"
#include "analysis/faults.h"
#include "analysis/gathering.h"
#include "analysis/judge.h"
#include "analysis/limits.h"
#include "analysis/lint.h"
#include "analysis/timelines.h"
#include "base/vec.h"
#include "model/site.h"

/* A rule left undecided because somebody did not say something: counted, told once with three places. */
enum { UNDECIDED_PLACES = 3 };
typedef struct Undecided {
    const Rule *rule;
    FieldSet missing;
    uint64_t count;
    Span places[UNDECIDED_PLACES];
    const char *subjects[UNDECIDED_PLACES];
} Undecided;

/* What a batch states, of all that a rule reads: by the readings themselves, for equal cells share one. */
enum { MEMO_FIELDS = 5, MEMO_SLOTS = 64 };
typedef struct Memo {
    const Reading *cells[MEMO_FIELDS];
    uint32_t generation; /* 0: empty */
    bool about;
} Memo;

/* A rule about batches, seen from one context. */
typedef struct RuleCheck {
    const Rule *rule;
    const RuleBody *body;
    bool settled;    /* whatever such a batch states, the rule holds or is not about it */
    bool about;      /* settled: whether it is about it */
    bool by_context; /* place, container or plant say something that it reads */
    Truth silent;    /* the verdict for a batch that states nothing it reads … */
    bool silent_about;
    unsigned silent_reasons;
    FieldSet silent_missing;
    const Plan *seen;                /* the plan whose … */
    const Field *reads[MEMO_FIELDS]; /* … columns these are, that it reads */
    unsigned read_count;             /* over MEMO_FIELDS: nothing is remembered */
    Memo *memo;                      /* statements for which it is known to hold, or not to be about them */
} RuleCheck;

/* What the check keeps for a context. */
typedef struct ContextCheck {
    LimitChecks limits;
    RuleCheck *rules;
    size_t rule_count;
} ContextCheck;

typedef struct LeftOpen {
    const Rule *rule;
    const Protocol *protocol;
} LeftOpen;

/* A fault of dates: counted, told once with three places. */
typedef struct DateFault {
    const Protocol *protocol;
    TimelineFault fault;
    int stage, task;
    uint64_t count;
    Span places[UNDECIDED_PLACES];
    const char *subjects[UNDECIDED_PLACES];
} DateFault;

struct Lint {
    Nursery *nursery;
    FactSource source;
    Summary summary;
    Faults *faults;
    Contexts *contexts;
    Timelines *timelines;
    Gathering *gathering;
    VEC(const Rule *) batch_rules;
    VEC(Undecided) undecided;
    VEC(LeftOpen) left_open;
    VEC(DateFault) date_faults;
    bool asks_mixed;
    ArenaMark passing;
};

/* A verdict of a rule on a subject, counted; a fault where it is broken. `row`: which subject of those
 * collected. */
void rule_verdict(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row);
/* The same, with the verdict known. */
void rule_told(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row,
               Truth truth, bool about, unsigned reasons, const FieldSet *missing);
const char *subject_id(const Lint *lint, const Subject *subject);
void undecided_report(Lint *lint);

/* Every rule about protocols, stages, tasks, clauses on one protocol. */
void rules_on_protocol(Lint *lint, const Protocol *protocol);
void rules_on_places(Lint *lint);

/* Contradictions of one protocol (analysis/contradict.c). */
void contradict(Lint *lint, const Protocol *protocol);

/* Faults of a batch's dates (analysis/lint_dates.c). */
void dates_take(Lint *lint, const Subject *batch);
void dates_report(Lint *lint);

/* Runs the examples of every rule; a rule that fails one is refused (analysis/examples.c). */
void examples_run(Lint *lint);

#endif
