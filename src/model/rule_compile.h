/* What the files that compile conditions share. Private to src/model. */
#ifndef MODEL_RULE_COMPILE_H
#define MODEL_RULE_COMPILE_H

#include "base/vec.h"
#include "model/rule.h"

enum { COMPILE_LEVELS = 8 };

typedef struct Compiler {
    Arena *arena;
    Names *names;
    Notes *notes;
    const Rule *rule;
    RuleBody *body;
    Scope levels[COMPILE_LEVELS]; /* subjects from the nearest thing outwards */
    unsigned level_count;
    bool in_batch; /* the outermost subject is a batch: stages and tasks are dated */
    bool failed;   /* something was refused, and reported */
} Compiler;

/* One refusal, named rule-refused. Gives the note for further places. */
Note *compile_refuse(Compiler *compiler, Span place, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The name as a Ref. `quietly`: false without a report when it is no name here (it may be a word). */
bool compile_ref(Compiler *compiler, const ExprWord *name, bool quietly, Ref *ref);
/* The expression as a value; `hint` is the dimension that a constant without a clear one takes. NULL:
 * refused. */
const Sum *compile_sum(Compiler *compiler, const Expr *expr, Dimension hint);
/* What it is, for messages: "a length", "a day". */
const char *sum_sort(const Sum *sum);
/* The condition with `negated` pushed to its atoms. NULL: refused. */
Code *compile_condition(Compiler *compiler, const Expr *expr, bool negated);

bool ref_has_numbers(const Ref *ref);
bool ref_has_words(const Ref *ref);
bool ref_has_days(const Ref *ref);

#endif
