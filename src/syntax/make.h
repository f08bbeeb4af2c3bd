/* Constructors of the tree, one for each action of the grammar, and the lists that the actions build.
 *
 * Every constructor takes the reader, what the tokens and parts said, and the extent of the whole. One that
 * gives NULL or false has refused because of a limit and has said so.
 */
#ifndef SYNTAX_MAKE_H
#define SYNTAX_MAKE_H

#include "syntax/reader.h"

typedef struct MixList { /* a value as it grows: its first mix, and what the next part may go behind */
    Mix *first, *mix;
    Phrase *phrase;
    Part *part;
} MixList;
typedef struct ItemList {
    Item *first, *last;
    unsigned depth; /* of the deepest block in it */
} ItemList;
typedef struct WordList {
    ExprWord *first, *last;
} WordList;
typedef struct CitationList {
    Citation *first, *last;
} CitationList;

typedef struct Thing {
    ThingKind kind;
    ExprWord *role;
    Extent extent;
} Thing;

typedef struct Relation {
    ThingRelation relation;
    ThingEdge edge;
    Thing other;
} Relation;

typedef struct Prefixes { /* a row of `not`, or of `low`, `latest` … */
    Token *at;
    size_t count, room;
} Prefixes;

/* phrases */
Quantity make_quantity(Reader *reader, const Token *minus, Token number, const Token *unit);
Part *make_part_quantity(Reader *reader, Quantity quantity, Extent extent);
Part *make_part_token(Reader *reader, Token token);
Part *make_part_pair(Reader *reader, PartKind kind, Part *a, Part *b, Extent extent);
bool make_parts(MixList *list, Part *part);
bool make_phrases(Reader *reader, MixList *list, Part *part);
bool make_mixes(Reader *reader, MixList *list, Part *part);
Value make_value(MixList mixes);

/* conditions */
ExprWord *make_word(Reader *reader, Token token);
void make_words(WordList *list, ExprWord *word);
Expr *make_expr_quantity(Reader *reader, Quantity quantity, const Token *per, Extent extent);
Expr *make_expr_token(Reader *reader, Token token);
Expr *make_expr_name(Reader *reader, ExprWord *name, Extent extent);
Expr *make_expr(Reader *reader, ExprKind kind, Expr *a, Expr *b, Extent extent);
Expr *make_expr_in(Reader *reader, bool negated, Expr *a, Expr *b, Expr *c, Extent extent);
Expr *make_expr_is(Reader *reader, ExprWord *name, bool negated, int is, ExprWord *words, Extent extent);
Expr *make_expr_words(Reader *reader, ExprKind kind, bool negated, ExprWord *name, ExprWord *words,
                      Extent extent);
Expr *make_expr_has(Reader *reader, bool negated, Thing thing, Relation relation, Expr *where, Extent extent);
Expr *make_expr_moment(Reader *reader, ThingEdge edge, Thing thing, Extent extent);
bool make_prefixes(Reader *reader, Prefixes *prefixes, Token token);
Expr *make_expr_prefixed(Reader *reader, Prefixes prefixes, Expr *a, Extent extent);

/* clauses and blocks */
Citation *make_citation(Reader *reader, Token key, const Token *place, Extent extent);
void make_citations(CitationList *list, CitationList more);
bool make_reason(Reader *reader, Slice *reason, Span *place, Token word, Token text);
void make_cited(Item *item, CitationList citations);
Item *make_head(Reader *reader, Token strength, Token field, MixList value, Extent extent);
Item *make_clause(const Reader *reader, Item *item, Extent extent);
Item *make_block(const Reader *reader, Item *head, ItemList items, Extent extent);
Item *make_condition(Reader *reader, Token word, Expr *condition, Extent extent);
Item *make_dated(Reader *reader, Token date, MixList value, Extent extent);
Item *make_broken(Reader *reader, Extent extent);
Item *make_broken_block(const Reader *reader, Item *broken, ItemList items, Extent extent);
void make_items(ItemList *list, Item *item);

#endif
