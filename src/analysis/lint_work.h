/* What the files of the check share. Private to src/analysis. */
#ifndef ANALYSIS_LINT_WORK_H
#define ANALYSIS_LINT_WORK_H

#include "analysis/context.h"
#include "analysis/faults.h"
#include "analysis/gathering.h"
#include "analysis/occupancy.h"
#include "analysis/judge.h"
#include "analysis/limits.h"
#include "analysis/lint.h"
#include "analysis/record_check.h"
#include "analysis/timelines.h"
#include "base/vec.h"
#include "model/site.h"
#include "model/trial.h"

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

typedef struct Verdict {
    Truth truth;
    bool about;
    unsigned reasons;
    FieldSet missing;
} Verdict;

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
    bool on_all_days;                /* told at the protocol, whichever day it is stuck */
    const Plan *seen;                /* the plan whose … */
    bool settled_here, about_here;   /* whatever stands in its columns */
    const Field *reads[MEMO_FIELDS]; /* … columns these are, that it reads */
    unsigned read_count;             /* over MEMO_FIELDS: nothing is remembered */
    Memo *memo;                      /* statements for which it is known to hold, or not to be about them */
    Memo last_told;                  /* statements for which it last came out otherwise … */
    Verdict last_verdict;            /* … and how: batches next to each other are much alike */
} RuleCheck;

/* What the check keeps for a context. */
typedef struct ContextCheck {
    LimitChecks limits;
    RuleCheck *rules;
    size_t rule_count;
} ContextCheck;

typedef struct RuleAt {
    const Rule *rule;
    const Protocol *protocol;
} RuleAt;

typedef struct RuleState {
    bool in_force; /* neither refused nor judged off */
    bool met;      /* something here is what it is about */
} RuleState;

/* What is said of a fault of dates. */
typedef struct DateFaultText {
    const char *name;
    Severity severity;
    const char *of_stage, *of_task; /* NULL: does not happen there */
    const char *instead;
    bool without_batch; /* the protocol has it by itself; others come of a batch, or of closed days */
} DateFaultText;

/* A fault of dates: counted, told once with three places. */
typedef struct DateFault {
    const Protocol *protocol;
    TimelineFault fault;
    int stage, task;
    bool told; /* at the protocol, on all days: not told again */
    Day day;   /* of the first batch that has it, where one day is meant; else DAY_NONE */
    uint64_t count;
    Span places[UNDECIDED_PLACES];
    const char *subjects[UNDECIDED_PLACES];
} DateFault;

struct Lint {
    Nursery *nursery;
    Day today;
    FactSource source;
    Summary summary;
    Faults *faults;
    Contexts *contexts;
    Timelines *timelines;
    Gathering *gathering;
    Occupancy *occupancy; /* NULL: no place says what it holds */
    RuleState *states;    /* of each rule of the nursery, in their order */
    VEC(const Rule *) batch_rules;
    VEC(Undecided) undecided;
    VEC(RuleAt) left_open;
    VEC(RuleAt) on_all_days;       /* broken on whichever day the protocol is stuck */
    VEC(const Rule *) waiting;     /* for a day, of the protocol in hand */
    const Protocol *without_event; /* the first of those with dates that hang on an unknown event; NULL */
    size_t without_event_count;
    VEC(DateFault) date_faults;
    RecordCheck *records;
    Trials trials;
    bool *trials_seen; /* their batch is there */
    bool asks_mixed;
    ArenaMark passing;
};

static inline RuleState *rule_state(const Lint *lint, const Rule *rule)
{
    return &lint->states[rule - lint->nursery->rules];
}
/* A verdict of a rule on a subject, counted; a fault where it is broken. `row`: which subject of those
 * collected. */
void rule_verdict(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row);
/* The same, with the verdict known. */
void rule_told(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row,
               Truth truth, bool about, unsigned reasons, const FieldSet *missing);
/* What a broken rule says of a subject, to be flushed; the caller may say more. */
Fault *rule_fault(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row,
                  bool unsure);
const char *subject_id(const Lint *lint, const Subject *subject);
void undecided_report(Lint *lint);

/* Every rule about protocols, stages, tasks, clauses on one protocol. */
void rules_on_protocol(Lint *lint, const Protocol *protocol);
void rules_on_places(Lint *lint);

/* Contradictions of one protocol (analysis/contradict.c). */
void contradict(Lint *lint, const Protocol *protocol);

/* Faults of a batch's dates (analysis/lint_dates.c). */
const DateFaultText *date_fault_text(TimelineFault fault);
/* The stage, task or setting, or the whole, that has it. */
typedef struct DateFaultBearer {
    const char *id, *name; /* "deutzia/root/look", "look"; "mist on day 4" */
    Span span;
    const char *label; /* "the task" */
} DateFaultBearer;
DateFaultBearer date_fault_bearer(Arena *arena, const Protocol *protocol, const TimelineNote *note);
void dates_take(Lint *lint, const Subject *batch);
/* It was told at the protocol: batches only count it. */
void dates_told(Lint *lint, const Protocol *protocol, const TimelineNote *note);
bool dates_have(const Lint *lint, TimelineFault fault);
void dates_report(Lint *lint);

/* A protocol on each day on which it may be stuck, and the rules in lint->waiting (analysis/lint_days.c). */
void lint_days(Lint *lint, const Subject *silent);
void days_report(Lint *lint);

/* Runs the examples of every rule; a rule that fails one is refused (analysis/examples.c). */
void examples_run(Lint *lint);

/* What a batch wants and may not come to (analysis/lint_yield.c). */
void yield_take(Lint *lint, const Subject *batch);

/* Trials by themselves; one of them in its batch, which is dated; that a batch is there; and what is left. */
void trials_begin(Lint *lint);
void trials_take(Lint *lint, const Subject *batch);
void trials_see(Lint *lint, Slice batch);
void trials_finish(Lint *lint);

/* Translations that are missing or out of date (analysis/lint_words.c). */
void words_report(Lint *lint);

/* lint_places.c */
void places_report(Lint *lint);

#endif
