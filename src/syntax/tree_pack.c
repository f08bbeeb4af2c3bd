/* Packing trees and unpacking them: what nodes are made of, for base/pack.h. */
#include "syntax/tree_pack.h"

#include "base/pack.h"

enum { NODE_ITEM, NODE_CITATION, NODE_MIX, NODE_PHRASE, NODE_PART, NODE_EXPR, NODE_WORD };

#define DAY_IN(Type, name) NUMBER_IN(Type, name.month), NUMBER_IN(Type, name.part), NUMBER_IN(Type, name.day)
#define QUANTITY_IN(Type, name)                                                                              \
    NUMBER_IN(Type, name.number.num), NUMBER_IN(Type, name.number.den), SLICE_IN(Type, name.digits),         \
        SLICE_IN(Type, name.unit), SPAN_IN(Type, name.unit_span)

static const Member item_members[] = {
    NUMBER_IN(Item, kind),
    SLICE_IN(Item, field),
    SPAN_IN(Item, field_span),
    NODES_IN(Item, value.first, NODE_MIX),
    SPAN_IN(Item, value.span),
    SPAN_IN(Item, span),
    NODES_IN(Item, condition, NODE_EXPR),
    NODES_IN(Item, citations, NODE_CITATION),
    SLICE_IN(Item, because),
    SPAN_IN(Item, because_span),
    SLICE_IN(Item, instead),
    SPAN_IN(Item, instead_span),
    NODES_IN(Item, first, NODE_ITEM),
    NUMBER_IN(Item, depth),
    NUMBER_IN(Item, strength),
    SPAN_IN(Item, strength_span),
    NUMBER_IN(Item, date),
};
static const Member citation_members[] = {
    SLICE_IN(Citation, key),
    SLICE_IN(Citation, where),
    SPAN_IN(Citation, span),
};
static const Member mix_members[] = {NODES_IN(Mix, first, NODE_PHRASE), SPAN_IN(Mix, span)};
static const Member phrase_members[] = {NODES_IN(Phrase, first, NODE_PART), SPAN_IN(Phrase, span)};
static const Member part_members[] = {
    NUMBER_IN(Part, kind),       SLICE_IN(Part, word),         SPAN_IN(Part, span),
    QUANTITY_IN(Part, quantity), NODES_IN(Part, a, NODE_PART), NODES_IN(Part, b, NODE_PART),
    DAY_IN(Part, day),           NUMBER_IN(Part, date),        NUMBER_IN(Part, minutes),
};
static const Member expr_members[] = {
    NUMBER_IN(Expr, kind),
    SPAN_IN(Expr, span),
    NUMBER_IN(Expr, depth),
    NODES_IN(Expr, a, NODE_EXPR),
    NODES_IN(Expr, b, NODE_EXPR),
    NODES_IN(Expr, name, NODE_WORD),
    NODES_IN(Expr, words, NODE_WORD),
    QUANTITY_IN(Expr, quantity),
    NODES_IN(Expr, c, NODE_EXPR),
    NUMBER_IN(Expr, negated),
    NUMBER_IN(Expr, is),
    NUMBER_IN(Expr, point),
    NUMBER_IN(Expr, thing),
    NODES_IN(Expr, role, NODE_WORD),
    NUMBER_IN(Expr, relation),
    NUMBER_IN(Expr, edge),
    NUMBER_IN(Expr, other),
    NODES_IN(Expr, other_role, NODE_WORD),
    NODES_IN(Expr, where, NODE_EXPR),
    SLICE_IN(Expr, per),
    SLICE_IN(Expr, text),
    NUMBER_IN(Expr, date),
    DAY_IN(Expr, day),
};
static const Member word_members[] = {SLICE_IN(ExprWord, word), SPAN_IN(ExprWord, span)};

static const Shape shapes[] = {
    [NODE_ITEM] = SHAPE_OF_LIST(Item, item_members),
    [NODE_CITATION] = SHAPE_OF_LIST(Citation, citation_members),
    [NODE_MIX] = SHAPE_OF_LIST(Mix, mix_members),
    [NODE_PHRASE] = SHAPE_OF_LIST(Phrase, phrase_members),
    [NODE_PART] = SHAPE_OF_LIST(Part, part_members),
    [NODE_EXPR] = SHAPE(Expr, expr_members),
    [NODE_WORD] = SHAPE_OF_LIST(ExprWord, word_members),
};
static const PackFormat format = {shapes, NULL};

void tree_pack(const Tree *tree, Buffer *out)
{
    pack(&format, out, tree->text, NODE_ITEM, tree->first);
}

Tree *tree_unpack(Arena *arena, const Text *text, const char *bytes)
{
    Tree *tree = ARENA_NEW(arena, Tree);
    tree->text = text;
    tree->first = unpack(&format, arena, NULL, text, NODE_ITEM, bytes);
    return tree;
}
