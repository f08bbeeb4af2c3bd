/* The tree of one file: blocks, clauses, phrases, conditions. Plain and uniform; it knows nothing of what a
 * field means.
 *
 * Every node has a span. A clause that could not be read stays in the tree as broken, so that one mistake
 * hides nothing else. Nodes live in the arena that was given to syntax_read; lists are linked by `next`.
 */
#ifndef SYNTAX_TREE_H
#define SYNTAX_TREE_H

#include "base/date.h"
#include "base/number.h"
#include "base/slice.h"
#include "base/text.h"

enum {
    TREE_BLOCK_DEPTH = 64,      /* blocks inside blocks */
    TREE_CONDITION_DEPTH = 256, /* a condition's tree, counting chains of one operator */
    TREE_BRACKET_DEPTH = 64,    /* brackets inside brackets */
    TREE_NODES = 1 << 21,       /* items, parts and expressions in one file */
    TREE_NAME_LENGTH = 255,     /* bytes in a word */
    TREE_TEXT_LENGTH = 65536    /* bytes in a text */
};

/* ------------------------------------------------------------------ phrases */

/* A number with the unit behind it, as written. */
typedef struct Quantity {
    Number number;
    Slice digits; /* `1 1/2`, with a minus if there was one */
    Slice unit;   /* empty without one */
    Span unit_span;
} Quantity;

typedef enum PartKind {
    PART_WORD,     /* softwood */
    PART_TEXT,     /* "Lift two cuttings." */
    PART_QUANTITY, /* 12 mm */
    PART_DATE,     /* 18 Jun 2027, 2027-06-18 */
    PART_DAY,      /* late May, 18 Jun, Jun */
    PART_TIME,     /* 09:00 */
    PART_SHARE,    /* 1 in 10: a of b */
    PART_SUM,      /* 1 + 9: a + b, quantities */
    PART_RANGE,    /* a .. b */
    PART_AROUND,   /* a +- b */
    PART_AT_MOST,  /* at most a */
    PART_AT_LEAST, /* at least a */
    PART_LESS,     /* < a */
    PART_MORE,     /* > a */
    PART_BRACKET   /* (a): the value before, restated in another unit */
} PartKind;

typedef struct Part Part;
struct Part {
    PartKind kind;
    YearDay day; /* DAY */
    Day date;    /* DATE */
    int minutes; /* TIME: since midnight */
    Span span;
    Slice word;        /* WORD: as written; TEXT: with escapes resolved */
    Quantity quantity; /* QUANTITY */
    Part *a, *b;       /* SHARE, SUM, RANGE, AROUND: both; AT_MOST … BRACKET: a */
    Part *next;        /* in its phrase */
};

/* Parts one after the other. */
typedef struct Phrase Phrase;
struct Phrase {
    Part *first;
    Span span;
    Phrase *next; /* in its mix, after a colon */
};

/* Phrases joined by colons: 1 peat : 1 perlite. Nearly always just one. */
typedef struct Mix Mix;
struct Mix {
    Phrase *first;
    Span span;
    Mix *next; /* in its value, after a comma */
};

typedef struct Value {
    Mix *first; /* NULL: the clause has no value */
    Span span;
} Value;

/* ------------------------------------------------------------------ conditions */

typedef enum ExprKind {
    EXPR_QUANTITY, /* 10 cm; `per` is set in `10 per hour` */
    EXPR_DATE,
    EXPR_DAY,
    EXPR_TEXT,
    EXPR_NAME,   /* depth, hold.lasts */
    EXPR_POINT,  /* low, high, middle, earliest, planned, latest of a */
    EXPR_MOMENT, /* start of stage root, end of stage root */
    EXPR_NEGATE, /* -a */
    EXPR_ADD,
    EXPR_SUBTRACT,
    EXPR_MULTIPLY,
    EXPR_DIVIDE,
    EXPR_LESS,
    EXPR_LESS_EQUAL,
    EXPR_MORE,
    EXPR_MORE_EQUAL,
    EXPR_EQUAL,
    EXPR_UNEQUAL,
    EXPR_IN,       /* a in b, a in b .. c (c NULL without it); `negated` for outside */
    EXPR_IS,       /* name is w, (w, v), stated, unstated; `negated` for is not */
    EXPR_INCLUDES, /* name includes w; `negated` for lacks */
    EXPR_MIXED,    /* mixed f, mixed f on g */
    EXPR_HAS,      /* has THING; `negated` for no THING */
    EXPR_NOT,
    EXPR_AND,
    EXPR_OR
} ExprKind;

typedef enum PointOf {
    POINT_LOW,
    POINT_HIGH,
    POINT_MIDDLE,
    POINT_EARLIEST,
    POINT_PLANNED,
    POINT_LATEST
} PointOf;
typedef enum ThingKind { THING_STAGE, THING_TASK, THING_RECORD } ThingKind;
typedef enum ThingRelation { RELATION_NONE, RELATION_IN, RELATION_BEFORE, RELATION_AFTER } ThingRelation;
typedef enum ThingEdge { EDGE_NONE, EDGE_START, EDGE_END } ThingEdge;

typedef struct ExprWord ExprWord; /* one of the words in `is (w, v)` or of a dotted name */
struct ExprWord {
    Slice word;
    Span span;
    ExprWord *next;
};

typedef struct Expr Expr;
struct Expr {
    ExprKind kind;
    bool negated;
    unsigned depth; /* 1 + the deepest operand */
    Span span;
    Expr *a, *b, *c;
    Quantity quantity;
    Slice per; /* QUANTITY: the word after `per`, or empty */
    Day date;
    YearDay day;
    Slice text;      /* TEXT */
    ExprWord *name;  /* NAME, IS, INCLUDES, MIXED: the dotted name's words */
    ExprWord *words; /* IS: words; INCLUDES: the word; MIXED: the field after `on`, or NULL */
    enum { IS_WORDS, IS_STATED, IS_UNSTATED } is;
    PointOf point;
    /* HAS and MOMENT */
    ThingKind thing;
    ExprWord *role;         /* has task pot; NULL for any */
    ThingRelation relation; /* … in stage root */
    ThingEdge edge;         /* MOMENT and `after end of stage root` */
    ThingKind other;        /* kind and role of the second thing */
    ExprWord *other_role;
    Expr *where; /* where ( … ), or NULL */
};
/* They ask the same, however they are written; both may be NULL. */
bool expr_equal(const Expr *a, const Expr *b);

/* ------------------------------------------------------------------ clauses and blocks */

typedef enum Strength { STRENGTH_PLAIN, STRENGTH_MUST, STRENGTH_PREFER, STRENGTH_NEVER } Strength;

typedef struct Citation Citation; /* one [KEY where]; several in one bracket are several citations */
struct Citation {
    Slice key;   /* NB12, trade, memory, ours */
    Slice where; /* "table 3", or empty */
    Span span;
    Citation *next;
};

typedef enum ItemKind {
    ITEM_CLAUSE,    /* [strength] field [value] */
    ITEM_BLOCK,     /* [strength] field [value] { … } */
    ITEM_CONDITION, /* when CONDITION, where CONDITION */
    ITEM_DATED,     /* date value: a record's line */
    ITEM_BROKEN     /* could not be read; already reported */
} ItemKind;

typedef struct Item Item;
struct Item {
    ItemKind kind;
    Strength strength;
    Span strength_span;
    Slice field; /* also "when" or "where" */
    Span field_span;
    Day date; /* DATED */
    Value value;
    Expr *condition;
    Citation *citations;
    Slice because, instead; /* escapes resolved; `.at` is NULL without one */
    Span because_span, instead_span;
    Item *first;    /* BLOCK: what stands inside */
    unsigned depth; /* BLOCK: 1 + the deepest block inside */
    Span span;      /* from the first token to the last, trailers and braces included */
    Item *next;
};

/* A file is a list of items. */
typedef struct Tree {
    const Text *text;
    Item *first;
} Tree;

/* The whole tree as indented text, for tests and for --dump=tree. */
struct Buffer;
void tree_dump(const Tree *tree, struct Buffer *out);

#endif
