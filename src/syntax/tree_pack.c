/* Packing trees and unpacking them.
 *
 * Given a tree, makes bytes that hold no address and hang on no machine; given those, makes the same tree. A
 * table says of each kind of node what is in it, and both ways go by that table. Most of a node is nothing
 * most of the time: a node begins with the set of members that are something, and only they follow. Numbers
 * take seven bits a byte, lowest first; places are offsets in the text.
 */
#include "syntax/tree_pack.h"

#include <stddef.h>
#include <string.h>

/* ------------------------------------------------------------------ what nodes are made of */

typedef enum NodeKind {
    NODE_ITEM,
    NODE_CITATION,
    NODE_MIX,
    NODE_PHRASE,
    NODE_PART,
    NODE_EXPR,
    NODE_WORD
} NodeKind;
typedef enum MemberKind { MEMBER_NUMBER, MEMBER_SLICE, MEMBER_SPAN, MEMBER_NODES } MemberKind;

typedef struct Member {
    MemberKind kind;
    NodeKind nodes; /* NODES: which */
    size_t at, size;
} Member;

#define MEMBER(kind, Type, name)                                                                             \
    {                                                                                                        \
        MEMBER_##kind, NODE_ITEM, offsetof(Type, name), sizeof(((Type *)0)->name)                            \
    }
#define NUMBER_IN(Type, name) MEMBER(NUMBER, Type, name)
#define SLICE_IN(Type, name) MEMBER(SLICE, Type, name)
#define SPAN_IN(Type, name) MEMBER(SPAN, Type, name)
#define NODES_IN(Type, name, which)                                                                          \
    {                                                                                                        \
        MEMBER_NODES, NODE_##which, offsetof(Type, name), sizeof(void *)                                     \
    }
#define DAY_IN(Type, name) NUMBER_IN(Type, name.month), NUMBER_IN(Type, name.part), NUMBER_IN(Type, name.day)
#define QUANTITY_IN(Type, name)                                                                              \
    NUMBER_IN(Type, name.number.num), NUMBER_IN(Type, name.number.den), SLICE_IN(Type, name.digits),         \
        SLICE_IN(Type, name.unit), SPAN_IN(Type, name.span), SPAN_IN(Type, name.unit_span)

static const Member item_members[] = {
    NUMBER_IN(Item, kind),           SLICE_IN(Item, field),
    SPAN_IN(Item, field_span),       NODES_IN(Item, value.first, MIX),
    SPAN_IN(Item, value.span),       SPAN_IN(Item, span),
    NODES_IN(Item, condition, EXPR), NODES_IN(Item, citations, CITATION),
    SLICE_IN(Item, because),         SPAN_IN(Item, because_span),
    SLICE_IN(Item, instead),         SPAN_IN(Item, instead_span),
    NODES_IN(Item, first, ITEM),     NUMBER_IN(Item, depth),
    NUMBER_IN(Item, strength),       SPAN_IN(Item, strength_span),
    NUMBER_IN(Item, date),
};
static const Member citation_members[] = {
    SLICE_IN(Citation, key),
    SLICE_IN(Citation, where),
    SPAN_IN(Citation, span),
};
static const Member mix_members[] = {NODES_IN(Mix, first, PHRASE), SPAN_IN(Mix, span)};
static const Member phrase_members[] = {NODES_IN(Phrase, first, PART), SPAN_IN(Phrase, span)};
static const Member part_members[] = {
    NUMBER_IN(Part, kind),       SLICE_IN(Part, word),    SPAN_IN(Part, span),
    QUANTITY_IN(Part, quantity), NODES_IN(Part, a, PART), NODES_IN(Part, b, PART),
    DAY_IN(Part, day),           NUMBER_IN(Part, date),   NUMBER_IN(Part, minutes),
};
static const Member expr_members[] = {
    NUMBER_IN(Expr, kind),       SPAN_IN(Expr, span),         NUMBER_IN(Expr, depth),
    NODES_IN(Expr, a, EXPR),     NODES_IN(Expr, b, EXPR),     NODES_IN(Expr, name, WORD),
    NODES_IN(Expr, words, WORD), QUANTITY_IN(Expr, quantity), NODES_IN(Expr, c, EXPR),
    NUMBER_IN(Expr, negated),    NUMBER_IN(Expr, is),         NUMBER_IN(Expr, point),
    NUMBER_IN(Expr, thing),      NODES_IN(Expr, role, WORD),  NUMBER_IN(Expr, relation),
    NUMBER_IN(Expr, edge),       NUMBER_IN(Expr, other),      NODES_IN(Expr, other_role, WORD),
    NODES_IN(Expr, where, EXPR), SLICE_IN(Expr, per),         SLICE_IN(Expr, text),
    NUMBER_IN(Expr, date),       DAY_IN(Expr, day),
};
static const Member word_members[] = {SLICE_IN(ExprWord, word), SPAN_IN(ExprWord, span)};

/* A kind of node: its size, where it leads to the next of its list, its members. */
#define SHAPE(Type, members)                                                                                 \
    {                                                                                                        \
        sizeof(Type), offsetof(Type, next), sizeof members / sizeof *members, members                        \
    }
static const struct {
    size_t size, next, count;
    const Member *members;
} shapes[] = {
    [NODE_ITEM] = SHAPE(Item, item_members),
    [NODE_CITATION] = SHAPE(Citation, citation_members),
    [NODE_MIX] = SHAPE(Mix, mix_members),
    [NODE_PHRASE] = SHAPE(Phrase, phrase_members),
    [NODE_PART] = SHAPE(Part, part_members),
    [NODE_WORD] = SHAPE(ExprWord, word_members),
    /* an operand stands in no list: what follows it is nothing, and its last member shows nothing of it */
    [NODE_EXPR] = {sizeof(Expr), sizeof(Expr), sizeof expr_members / sizeof *expr_members, expr_members},
};
_Static_assert(sizeof expr_members / sizeof *expr_members <= 32, "the set of members is 32 bits");

/* ------------------------------------------------------------------ packing */

static void pack_number(Buffer *out, uint64_t number)
{
    for (; number > 0x7F; number >>= 7) buffer_char(out, (char)(number | 0x80));
    buffer_char(out, (char)number);
}

static uint64_t number_at(const char *at, size_t size)
{
    uint8_t byte;
    uint32_t word;
    uint64_t number;
    if (size == sizeof byte) return memcpy(&byte, at, size), byte;
    if (size == sizeof word) return memcpy(&word, at, size), word;
    return memcpy(&number, at, sizeof number), number;
}

static Slice slice_at(const char *at)
{
    Slice slice;
    memcpy(&slice, at, sizeof slice);
    return slice;
}

static Span span_at(const char *at)
{
    Span span;
    memcpy(&span, at, sizeof span);
    return span;
}

static const char *node_at(const char *at)
{
    const char *node;
    memcpy(&node, at, sizeof node);
    return node;
}

static const char *next_of(NodeKind kind, const char *node)
{
    return shapes[kind].next < shapes[kind].size ? node_at(node + shapes[kind].next) : NULL;
}

static bool is_something(const Member *member, const char *at)
{
    switch (member->kind) {
    case MEMBER_NUMBER: return number_at(at, member->size) != 0;
    case MEMBER_SLICE: return slice_at(at).at != NULL;
    case MEMBER_SPAN: return span_at(at).text != NULL;
    case MEMBER_NODES: return node_at(at) != NULL;
    }
    return false;
}

/* As a place in the text; where it is of none, as escapes are resolved, its bytes follow. */
static void pack_slice(Buffer *out, const Text *text, Slice slice)
{
    bool inside = slice.at >= text->bytes && slice.at + slice.length <= text->bytes + text->length;
    pack_number(out, inside ? (uint64_t)(slice.at - text->bytes) + 1 : 0);
    pack_number(out, slice.length);
    if (!inside) buffer_slice(out, slice);
}

static void pack_nodes(Buffer *out, const Text *text, NodeKind kind, const char *first);

static void pack_member(Buffer *out, const Text *text, const Member *member, const char *at)
{
    switch (member->kind) {
    case MEMBER_NUMBER: pack_number(out, number_at(at, member->size)); break;
    case MEMBER_SLICE: pack_slice(out, text, slice_at(at)); break;
    case MEMBER_SPAN:
        pack_number(out, span_at(at).begin);
        pack_number(out, span_at(at).end - span_at(at).begin);
        break;
    case MEMBER_NODES: pack_nodes(out, text, member->nodes, node_at(at)); break;
    }
}

static void pack_nodes(Buffer *out, const Text *text, NodeKind kind, const char *first)
{
    uint64_t count = 0;
    for (const char *node = first; node; node = next_of(kind, node)) count++;
    pack_number(out, count);
    for (const char *node = first; node; node = next_of(kind, node)) {
        uint32_t set = 0;
        for (size_t i = 0; i < shapes[kind].count; i++)
            set |= (uint32_t)is_something(&shapes[kind].members[i], node + shapes[kind].members[i].at) << i;
        pack_number(out, set);
        for (size_t i = 0; i < shapes[kind].count; i++)
            if (set >> i & 1)
                pack_member(out, text, &shapes[kind].members[i], node + shapes[kind].members[i].at);
    }
}

void tree_pack(const Tree *tree, Buffer *out)
{
    pack_nodes(out, tree->text, NODE_ITEM, (const char *)tree->first);
}

/* ------------------------------------------------------------------ unpacking */

typedef struct Unpacker {
    Arena *arena;
    const Text *text;
    const unsigned char *at;
} Unpacker;

static uint64_t unpack_number(Unpacker *from)
{
    uint64_t number = *from->at & 0x7F;
    for (unsigned shift = 7; *from->at++ & 0x80; shift += 7) number |= (uint64_t)(*from->at & 0x7F) << shift;
    return number;
}

static void set_number(char *at, size_t size, uint64_t number)
{
    uint8_t byte = (uint8_t)number;
    uint32_t word = (uint32_t)number;
    if (size == sizeof byte)
        memcpy(at, &byte, size);
    else if (size == sizeof word)
        memcpy(at, &word, size);
    else
        memcpy(at, &number, sizeof number);
}

static void set_node(char *at, const char *node)
{
    memcpy(at, &node, sizeof node);
}

static Slice unpack_slice(Unpacker *from)
{
    uint64_t place = unpack_number(from);
    size_t length = (size_t)unpack_number(from);
    if (place) return (Slice){from->text->bytes + place - 1, length};
    const char *bytes = (const char *)from->at;
    from->at += length;
    return (Slice){bytes, length};
}

static Span unpack_span(Unpacker *from)
{
    uint32_t begin = (uint32_t)unpack_number(from);
    return (Span){from->text, begin, begin + (uint32_t)unpack_number(from)};
}

static char *unpack_nodes(Unpacker *from, NodeKind kind);

static void unpack_member(Unpacker *from, const Member *member, char *at)
{
    switch (member->kind) {
    case MEMBER_NUMBER: set_number(at, member->size, unpack_number(from)); break;
    case MEMBER_SLICE: {
        Slice slice = unpack_slice(from);
        memcpy(at, &slice, sizeof slice);
        break;
    }
    case MEMBER_SPAN: {
        Span span = unpack_span(from);
        memcpy(at, &span, sizeof span);
        break;
    }
    case MEMBER_NODES: set_node(at, unpack_nodes(from, member->nodes)); break;
    }
}

static char *unpack_nodes(Unpacker *from, NodeKind kind)
{
    size_t count = (size_t)unpack_number(from), size = shapes[kind].size;
    char *nodes = arena_array(from->arena, count, size);
    for (size_t i = 0; i < count; i++) {
        char *node = nodes + i * size;
        const Member *member = shapes[kind].members;
        for (uint32_t set = (uint32_t)unpack_number(from); set; set >>= 1, member++)
            if (set & 1) unpack_member(from, member, node + member->at);
        if (i + 1 < count) set_node(node + shapes[kind].next, node + size);
    }
    return nodes;
}

Tree *tree_unpack(Arena *arena, const Text *text, const char *bytes)
{
    Unpacker from = {arena, text, (const unsigned char *)bytes};
    Tree *tree = ARENA_NEW(arena, Tree);
    tree->text = text;
    if (*bytes) tree->first = (Item *)(void *)unpack_nodes(&from, NODE_ITEM);
    return tree;
}
