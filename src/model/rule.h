/* Rules compiled: names resolved, units and dimensions checked, negation pushed down to what can be decided.
 *
 * A rule that cannot be read is refused, with the place, and judges nothing; the others still run. How a
 * compiled condition is judged is analysis/judge.h.
 */
#ifndef MODEL_RULE_H
#define MODEL_RULE_H

#include "model/nursery.h"

/* ------------------------------------------------------------------ values in conditions */

/* A name resolved: which subject of the chain it is asked of, and for what. */
typedef struct Ref {
    Scope level;        /* SCOPE_STAGE inside `has stage where (…)`, also when the rule is about batches */
    const Field *field; /* NULL: derived */
    Derived derived;
    BlockKind section; /* hold.lasts: BLOCK_HOLD; else BLOCK_NONE */
    bool is_role;      /* role: the name where no role is said */
    ValueType type;
    Dimension dimension;
    Span span;
    const char *spelling;
} Ref;

typedef enum SumKind {
    SUM_NUMBER,
    SUM_DAY,
    SUM_REF,
    SUM_POINT,
    SUM_MOMENT,
    SUM_NEGATE,
    SUM_ADD,
    SUM_SUBTRACT,
    SUM_MULTIPLY,
    SUM_DIVIDE
} SumKind;

/* A value with a type: a number of a dimension in base units, or a day. */
typedef struct Sum Sum;
struct Sum {
    SumKind kind;
    bool is_day; /* its values are days */
    Dimension dimension;
    Number number;    /* NUMBER */
    const Unit *unit; /* NUMBER: as written */
    Day day;          /* DAY */
    Ref ref;          /* REF */
    PointOf point;    /* POINT, of a */
    ThingEdge edge;   /* MOMENT: of the stage with the role */
    Name role;
    const Sum *a, *b;
    Span span;
};

/* ------------------------------------------------------------------ conditions */

typedef enum CodeKind {
    CODE_AND, /* of `first` and all behind it */
    CODE_OR,
    CODE_MEMBER,   /* the sum lies in a set of numbers (or of days, as numbers) */
    CODE_WINDOW,   /* the day lies in a yearly window */
    CODE_IS,       /* one of the words */
    CODE_INCLUDES, /* the list has the word, or all that the other field lists */
    CODE_STATED,
    CODE_COMPARE, /* a against b, neither constant */
    CODE_WITHIN,  /* a lies in the range of another field, or between two sums */
    CODE_MIXED,
    CODE_HAS
} CodeKind;

typedef enum Compare {
    COMPARE_LESS,
    COMPARE_LESS_EQUAL,
    COMPARE_MORE,
    COMPARE_MORE_EQUAL,
    COMPARE_EQUAL,
    COMPARE_UNEQUAL
} Compare;

Compare compare_mirrored(Compare compare); /* b against a, for a against b */
/* The numbers of which the comparison with `number` is true. */
IntervalSet compare_set(Arena *arena, Compare compare, Number number);

typedef struct Code Code;
struct Code {
    CodeKind kind;
    bool negated;  /* IS, INCLUDES, STATED, WINDOW, WITHIN, HAS */
    unsigned atom; /* number of the atom in its rule, from 1; 0 for AND and OR */
    Code *first;   /* AND, OR; HAS: the `where`, or NULL */
    Code *next;
    const Sum *a, *b, *c;  /* MEMBER, WINDOW, COMPARE: a and b; WITHIN: a in b, or b .. c */
    IntervalSet set;       /* MEMBER */
    const Window *windows; /* WINDOW */
    size_t window_count;
    Compare compare;
    Ref ref, other; /* IS, INCLUDES, STATED; INCLUDES with a field, MIXED on */
    bool has_other;
    const Word *words; /* IS, INCLUDES */
    size_t word_count;
    ThingKind thing; /* HAS */
    Name role;       /* NULL: any */
    ThingRelation relation;
    ThingEdge edge;
    ThingKind other_thing;
    Name other_role;
    Span span;
};

/* ------------------------------------------------------------------ rules */

typedef struct FieldSet {
    uint64_t bits[FIELD_COUNT_LIMIT / 64];
} FieldSet;
static inline bool fieldset_has(const FieldSet *set, const Field *field)
{
    return (set->bits[field->number / 64] >> (field->number % 64)) & 1;
}
static inline void fieldset_add(FieldSet *set, const Field *field)
{
    set->bits[field->number / 64] |= UINT64_C(1) << (field->number % 64);
}
static inline bool fieldset_meets(const FieldSet *a, const FieldSet *b) /* a field is in both */
{
    uint64_t both = 0;
    for (size_t i = 0; i < sizeof a->bits / sizeof *a->bits; i++) both |= a->bits[i] & b->bits[i];
    return both != 0;
}
static inline bool fieldset_within(const FieldSet *inner, const FieldSet *outer)
{
    uint64_t beyond = 0;
    for (size_t i = 0; i < sizeof inner->bits / sizeof *inner->bits; i++)
        beyond |= inner->bits[i] & ~outer->bits[i];
    return beyond == 0;
}

/* A rule for one scope. */
typedef struct RuleBody {
    const Code *where; /* NULL: every subject */
    const Code *when;
    FieldSet reads;   /* what it asks of a batch */
    bool unsilenced;  /* it asks, of whatever, for something that nobody may accept away: a caution, a licence
                       */
    bool asks_dates;  /* the batch's timeline, or a value that follows from its dates */
    bool asks_season; /* a day of the year, a fixed date, or a day that closed days have moved */
    bool where_asks_day; /* its where asks for dates or the season */
    bool asks_records;
    bool asks_mixed;  /* other batches of the place */
    bool asks_shares; /* what is left behind several stages */
    unsigned atoms;
} RuleBody;

struct Rule {
    Name name;
    Block *block; /* nursery_open it before you look inside */
    bool refused;
    Severity severity;
    FieldSet needs;
    const Field *blame;             /* NULL */
    const RuleBody *bodies[SCOPES]; /* NULL where it does not apply */
};

/* Compiles every rule of the nursery; fills nursery->rules. Faults are notes named rule-refused, and fatal.
 */
void rules_make(Nursery *nursery);
/* Its error, warning or note: message, citations, because, instead. NULL, or without a reading, in a rule
 * that was refused. */
const Clause *rule_message(const Nursery *nursery, const Rule *rule);
/* The first scope a rule applies to. */
Scope rule_scope(const Rule *rule);

/* For an example's nested blocks: the kind of block that a scope's subject is. */
BlockKind scope_block(Scope scope);

#endif
