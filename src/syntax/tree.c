/* The constructors that the grammar calls: see make.h.
 *
 * They copy what the tokens say into nodes of the arena, give every node its span, and hold the tree to its
 * limits.
 */
#include "syntax/make.h"

#include "base/vec.h"

/* A zeroed node, or NULL once the text has too many; the first time that is said. */
static void *node(Reader *reader, Extent extent, size_t size)
{
    if (reader->full) return NULL;
    if (reader->nodes++ < TREE_NODES) return arena_alloc(reader->arena, size);
    reader->full = true;
    reader->clause_noted = false;
    reader_note(reader, extent, "there is more in this file than can be read at once: divide it");
    return NULL;
}

#define NODE(reader, extent, Type) ((Type *)node((reader), (extent), sizeof(Type)))

static Extent extent_join(Extent first, Extent last)
{
    return (Extent){first.begin, last.end};
}

static Slice extent_slice(const Reader *reader, Extent extent)
{
    return (Slice){reader->text->bytes + extent.begin, extent.end - extent.begin};
}

/* ------------------------------------------------------------------ phrases */

Quantity make_quantity(Reader *reader, const Token *minus, Token number, const Token *unit)
{
    Extent figures = minus ? extent_join(minus->extent, number.extent) : number.extent;
    Quantity quantity = {
        .number = minus ? number_negate(number.number) : number.number,
        .digits = extent_slice(reader, figures),
    };
    if (unit) {
        quantity.unit = unit->word;
        quantity.unit_span = reader_span(reader, unit->extent);
    }
    return quantity;
}

static Part *part(Reader *reader, PartKind kind, Extent extent)
{
    Part *made = NODE(reader, extent, Part);
    if (!made) return NULL;
    made->kind = kind;
    made->span = reader_span(reader, extent);
    return made;
}

Part *make_part_quantity(Reader *reader, Quantity quantity, Extent extent)
{
    Part *made = part(reader, PART_QUANTITY, extent);
    if (made) made->quantity = quantity;
    return made;
}

Part *make_part_token(Reader *reader, Token token)
{
    static const PartKind kinds[TOKENS] = {
        [TOKEN_TEXT] = PART_TEXT, [TOKEN_DATE] = PART_DATE, [TOKEN_DAY] = PART_DAY,
        [TOKEN_MONTH] = PART_DAY, [TOKEN_TIME] = PART_TIME, /* every other is a word */
    };
    Part *made = part(reader, kinds[token.kind], token.extent);
    if (!made) return NULL;
    made->word = token.word;
    if (made->kind == PART_DATE) made->date = token.date;
    if (made->kind == PART_DAY) made->day = token.day;
    if (made->kind == PART_TIME) made->minutes = token.minutes;
    return made;
}

Part *make_part_pair(Reader *reader, PartKind kind, Part *a, Part *b, Extent extent)
{
    Part *made = part(reader, kind, extent);
    if (!made) return NULL;
    made->a = a;
    made->b = b;
    return made;
}

/* A part behind the last: what it stands in reaches further. */
bool make_parts(MixList *list, Part *made)
{
    if (!made) return false;
    list->part->next = made;
    list->part = made;
    list->phrase->span.end = list->mix->span.end = made->span.end;
    return true;
}

/* The first part of a phrase, behind the last phrase. */
bool make_phrases(Reader *reader, MixList *list, Part *made)
{
    if (!made) return false;
    Phrase *phrase = ARENA_NEW(reader->arena, Phrase);
    phrase->first = list->part = made;
    phrase->span = made->span;
    if (list->phrase) list->phrase->next = phrase;
    list->phrase = phrase;
    list->mix->span.end = made->span.end;
    return true;
}

/* The first part of a mix, behind the last mix. */
bool make_mixes(Reader *reader, MixList *list, Part *made)
{
    if (!made) return false;
    Mix *mix = ARENA_NEW(reader->arena, Mix);
    mix->span = made->span;
    if (list->mix)
        list->mix->next = mix;
    else
        list->first = mix;
    list->mix = mix;
    list->phrase = NULL;
    make_phrases(reader, list, made);
    mix->first = list->phrase;
    return true;
}

Value make_value(MixList mixes)
{
    return (Value){mixes.first, span_join(mixes.first->span, mixes.mix->span)};
}

/* ------------------------------------------------------------------ conditions */

ExprWord *make_word(Reader *reader, Token token)
{
    ExprWord *word = ARENA_NEW(reader->arena, ExprWord);
    word->word = token.word;
    word->span = reader_span(reader, token.extent);
    return word;
}

/* Adds to the end of a list of nodes that are linked by `next`. */
#define APPEND(list, made)                                                                                   \
    do {                                                                                                     \
        if ((list)->last)                                                                                    \
            (list)->last->next = (made);                                                                     \
        else                                                                                                 \
            (list)->first = (made);                                                                          \
        (list)->last = (made);                                                                               \
    } while (0)

void make_words(WordList *list, ExprWord *word)
{
    APPEND(list, word);
}

static unsigned depth_of(const Expr *expr)
{
    return expr ? expr->depth : 0;
}

/* A node above its operands; NULL, with a message, when that makes the condition too deep. */
static Expr *expr_over(Reader *reader, ExprKind kind, Expr *a, Expr *b, Expr *c, Extent extent)
{
    unsigned depth = depth_of(a);
    if (depth_of(b) > depth) depth = depth_of(b);
    if (depth_of(c) > depth) depth = depth_of(c);
    if (depth >= TREE_CONDITION_DEPTH) {
        reader_note(reader, (Extent){extent.end - 1, extent.end},
                    arena_print(reader->arena,
                                "this condition goes on too long: more than %d operations hang on each other",
                                TREE_CONDITION_DEPTH));
        return NULL;
    }
    Expr *made = NODE(reader, extent, Expr);
    if (!made) return NULL;
    made->kind = kind;
    made->depth = depth + 1;
    made->span = reader_span(reader, extent);
    made->a = a;
    made->b = b;
    made->c = c;
    return made;
}

static Expr *expr_leaf(Reader *reader, ExprKind kind, Extent extent)
{
    return expr_over(reader, kind, NULL, NULL, NULL, extent);
}

Expr *make_expr_quantity(Reader *reader, Quantity quantity, const Token *per, Extent extent)
{
    Expr *made = expr_leaf(reader, EXPR_QUANTITY, extent);
    if (!made) return NULL;
    made->quantity = quantity;
    if (per->kind != TOKEN_END) made->per = per->word;
    return made;
}

Expr *make_expr_token(Reader *reader, Token token)
{
    static const ExprKind kinds[TOKENS] = {
        [TOKEN_DATE] = EXPR_DATE,
        [TOKEN_DAY] = EXPR_DAY,
        [TOKEN_MONTH] = EXPR_DAY,
        [TOKEN_TEXT] = EXPR_TEXT,
    };
    Expr *made = expr_leaf(reader, kinds[token.kind], token.extent);
    if (!made) return NULL;
    if (made->kind == EXPR_DATE) made->date = token.date;
    if (made->kind == EXPR_DAY) made->day = token.day;
    if (made->kind == EXPR_TEXT) made->text = token.word;
    return made;
}

Expr *make_expr_name(Reader *reader, ExprWord *name, Extent extent)
{
    return make_expr_words(reader, EXPR_NAME, false, name, NULL, extent);
}

Expr *make_expr(Reader *reader, ExprKind kind, Expr *a, Expr *b, Extent extent)
{
    return expr_over(reader, kind, a, b, NULL, extent);
}

Expr *make_expr_in(Reader *reader, bool negated, Expr *a, Expr *b, Expr *c, Extent extent)
{
    Expr *made = expr_over(reader, EXPR_IN, a, b, c, extent);
    if (made) made->negated = negated;
    return made;
}

Expr *make_expr_is(Reader *reader, ExprWord *name, bool negated, int is, ExprWord *words, Extent extent)
{
    Expr *made = make_expr_words(reader, EXPR_IS, negated, name, words, extent);
    if (!made) return NULL;
    made->is = is == IS_STATED ? IS_STATED : is == IS_UNSTATED ? IS_UNSTATED : IS_WORDS;
    return made;
}

Expr *make_expr_words(Reader *reader, ExprKind kind, bool negated, ExprWord *name, ExprWord *words,
                      Extent extent)
{
    Expr *made = expr_leaf(reader, kind, extent);
    if (!made) return NULL;
    made->negated = negated;
    made->name = name;
    made->words = words;
    return made;
}

Expr *make_expr_has(Reader *reader, bool negated, Thing thing, Relation relation, Expr *where, Extent extent)
{
    Expr *made = expr_over(reader, EXPR_HAS, where, NULL, NULL, extent);
    if (!made) return NULL;
    made->a = NULL; /* `where` counts for the depth and has a place of its own */
    made->where = where;
    made->negated = negated;
    made->thing = thing.kind;
    made->role = thing.role;
    made->relation = relation.relation;
    made->edge = relation.edge;
    made->other = relation.other.kind;
    made->other_role = relation.other.role;
    return made;
}

Expr *make_expr_moment(Reader *reader, ThingEdge edge, Thing thing, Extent extent)
{
    Expr *made = expr_leaf(reader, EXPR_MOMENT, extent);
    if (!made) return NULL;
    made->edge = edge;
    made->thing = thing.kind;
    made->role = thing.role;
    return made;
}

bool make_prefixes(Reader *reader, Prefixes *prefixes, Token token)
{
    if (prefixes->count == TREE_CONDITION_DEPTH) {
        reader_note(reader, token.extent, "this condition goes on too long: too many such words in a row");
        return false;
    }
    VEC_PUSH(reader->arena, prefixes, token);
    return true;
}

static PointOf point_of(TokenKind kind)
{
    static const PointOf points[TOKENS] = {
        [TOKEN_LOW] = POINT_LOW,           [TOKEN_HIGH] = POINT_HIGH,       [TOKEN_MIDDLE] = POINT_MIDDLE,
        [TOKEN_EARLIEST] = POINT_EARLIEST, [TOKEN_PLANNED] = POINT_PLANNED, [TOKEN_LATEST] = POINT_LATEST,
    };
    return points[kind];
}

/* The words stand before their operand: the last of them is the innermost. */
Expr *make_expr_prefixed(Reader *reader, Prefixes prefixes, Expr *a, Extent extent)
{
    Expr *made = a;
    for (size_t i = prefixes.count; made && i-- > 0;) {
        Token token = prefixes.at[i];
        bool negation = token.kind == TOKEN_NOT;
        made = make_expr(reader, negation ? EXPR_NOT : EXPR_POINT, made, NULL,
                         (Extent){token.extent.begin, extent.end});
        if (made && !negation) made->point = point_of(token.kind);
    }
    return made;
}

/* ------------------------------------------------------------------ clauses and blocks */

Citation *make_citation(Reader *reader, Token key, const Token *place, Extent extent)
{
    Citation *citation = ARENA_NEW(reader->arena, Citation);
    citation->key = key.word;
    citation->where = place->kind == TOKEN_END ? (Slice){"", 0} : place->word;
    citation->span = reader_span(reader, extent);
    return citation;
}

void make_citations(CitationList *list, CitationList more)
{
    if (list->last)
        list->last->next = more.first;
    else
        list->first = more.first;
    list->last = more.last;
}

/* A clause may cite in several brackets, one behind the other. Until it is whole its citations are a ring,
 * held by the last. */
void make_cited(Item *item, CitationList citations)
{
    citations.last->next = item->citations ? item->citations->next : citations.first;
    if (item->citations) item->citations->next = citations.first;
    item->citations = citations.last;
}

/* False, with a message, for a second reason of one kind. */
bool make_reason(Reader *reader, Slice *reason, Span *place, Token word, Token text)
{
    if (place->text) {
        Note *note = reader_note(
            reader, word.extent,
            arena_print(reader->arena, "a clause has one %s: join the two texts", token_shown[word.kind]));
        if (note) note_place(note, *place, "the first stands here");
        return false;
    }
    *reason = text.word;
    *place = reader_span(reader, text.extent);
    return true;
}

static Item *item(Reader *reader, ItemKind kind, Extent extent)
{
    Item *made = NODE(reader, extent, Item);
    if (!made) return NULL;
    made->kind = kind;
    made->span = reader_span(reader, extent);
    return made;
}

static Strength strength_of(TokenKind kind)
{
    static const Strength strengths[TOKENS] = {
        [TOKEN_MUST] = STRENGTH_MUST,
        [TOKEN_PREFER] = STRENGTH_PREFER,
        [TOKEN_NEVER] = STRENGTH_NEVER,
    };
    return strengths[kind];
}

static void set_head(const Reader *reader, Item *made, Token strength, Token field)
{
    made->strength = strength_of(strength.kind);
    if (made->strength != STRENGTH_PLAIN) made->strength_span = reader_span(reader, strength.extent);
    made->field = field.word;
    made->field_span = reader_span(reader, field.extent);
}

static Value value_or_none(Reader *reader, MixList mixes, Extent behind)
{
    return mixes.first ? make_value(mixes)
                       : (Value){NULL, reader_span(reader, (Extent){behind.end, behind.end})};
}

/* What stands before the trailers of a clause or the brace of a block. */
Item *make_head(Reader *reader, Token strength, Token field, MixList value, Extent extent)
{
    Item *made = item(reader, ITEM_CLAUSE, extent);
    if (!made) return NULL;
    set_head(reader, made, strength, field);
    made->value = value_or_none(reader, value, extent);
    return made;
}

/* The clause is whole, with all that stands behind it. */
Item *make_clause(const Reader *reader, Item *made, Extent extent)
{
    made->span = reader_span(reader, extent);
    Citation *last = made->citations;
    if (last) {
        made->citations = last->next;
        last->next = NULL;
    }
    return made;
}

Item *make_block(const Reader *reader, Item *head, ItemList items, Extent extent)
{
    head->kind = ITEM_BLOCK;
    head->span = reader_span(reader, extent);
    head->first = items.first;
    head->depth = items.depth + 1;
    return head;
}

Item *make_condition(Reader *reader, Token word, Expr *condition, Extent extent)
{
    Item *made = item(reader, ITEM_CONDITION, extent);
    if (!made) return NULL;
    set_head(reader, made, (Token){.kind = TOKEN_END}, word);
    made->condition = condition;
    return made;
}

Item *make_dated(Reader *reader, Token date, MixList value, Extent extent)
{
    Item *made = item(reader, ITEM_DATED, extent);
    if (!made) return NULL;
    made->date = date.date;
    made->field_span = reader_span(reader, date.extent);
    made->value = make_value(value);
    return made;
}

/* What could be read of a broken clause's head stays, so that nobody reports its field as missing. */
Item *make_broken(Reader *reader, Extent extent)
{
    Item *made = item(reader, ITEM_BROKEN, extent);
    if (!made) return NULL;
    Token field = reader->clause_field;
    bool named = field.kind == TOKEN_WORD || (field.kind >= TOKEN_AND && field.kind <= TOKEN_LATEST);
    if (named) set_head(reader, made, reader->clause_first, field);
    return made;
}

Item *make_broken_block(const Reader *reader, Item *broken, ItemList items, Extent extent)
{
    extent.begin = broken->span.begin;
    broken->span = reader_span(reader, extent);
    broken->first = items.first;
    broken->depth = items.depth + 1;
    return broken;
}

void make_items(ItemList *list, Item *made)
{
    APPEND(list, made);
    if (made->depth > list->depth) list->depth = made->depth;
}
