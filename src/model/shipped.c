/* Packing the blocks that ship and unpacking them: see shipped.h. */
#include "model/shipped.h"

#include "base/pack.h"
#include "syntax/tree_pack.h"

/* ------------------------------------------------------------------ what they are made of */

enum {
    NODE_BLOCK,
    NODE_SHIPPED,
    NODE_RULE,
    NODE_BODY,
    NODE_CODE,
    NODE_SUM,
    NODE_INTERVAL,
    NODE_WINDOW,
    NODE_WORD
};
enum { TABLE_BLOCKS, TABLE_FIELDS, TABLE_UNITS };

static const PackTable tables[] = {
    [TABLE_BLOCKS] = {block_types, sizeof *block_types},
    [TABLE_FIELDS] = {field_table, sizeof *field_table},
    [TABLE_UNITS] = {unit_table, sizeof *unit_table},
};

#define FIELDS_IN(Type, name)                                                                                \
    NUMBER_IN(Type, name.bits[0]), NUMBER_IN(Type, name.bits[1]), NUMBER_IN(Type, name.bits[2]),             \
        NUMBER_IN(Type, name.bits[3])
#define BOUND_IN(Type, name)                                                                                 \
    NUMBER_IN(Type, name.at.num), NUMBER_IN(Type, name.at.den), NUMBER_IN(Type, name.open),                  \
        NUMBER_IN(Type, name.unbounded)
#define MARK_IN(Type, name)                                                                                  \
    NAME_IN(Type, name.event), NUMBER_IN(Type, name.day.month), NUMBER_IN(Type, name.day.part),              \
        NUMBER_IN(Type, name.day.day), NUMBER_IN(Type, name.days)
#define REF_IN(Type, name)                                                                                   \
    SPAN_IN(Type, name.span), STRING_IN(Type, name.spelling), ROW_IN(Type, name.field, TABLE_FIELDS),        \
        NUMBER_IN(Type, name.level), NUMBER_IN(Type, name.type), NUMBER_IN(Type, name.dimension),            \
        NUMBER_IN(Type, name.derived), NUMBER_IN(Type, name.section), NUMBER_IN(Type, name.is_role)
_Static_assert(sizeof(FieldSet) == 4 * sizeof(uint64_t), "FIELDS_IN names every part of a set of fields");

static const Member block_members[] = {
    ROW_IN(Block, type, TABLE_BLOCKS),
    NAME_IN(Block, name),
    ARRAY_IN(Block, names, name_count, NODE_WORD),
    SPAN_IN(Block, name_span),
    NODES_IN(Block, shipped, NODE_SHIPPED),
};
static const Member shipped_members[] = {SLICE_IN(Shipped, tree), NODES_IN(Shipped, rule, NODE_RULE)};
static const Member rule_members[] = {
    NUMBER_IN(Rule, severity),
    FIELDS_IN(Rule, needs),
    ROW_IN(Rule, blame, TABLE_FIELDS),
    NODES_IN(Rule, bodies[SCOPE_BATCH], NODE_BODY),
    NODES_IN(Rule, bodies[SCOPE_PROTOCOL], NODE_BODY),
    NODES_IN(Rule, bodies[SCOPE_STAGE], NODE_BODY),
    NODES_IN(Rule, bodies[SCOPE_TASK], NODE_BODY),
    NODES_IN(Rule, bodies[SCOPE_CLAUSE], NODE_BODY),
    NODES_IN(Rule, bodies[SCOPE_PLACE], NODE_BODY),
};
static const Member body_members[] = {
    NODES_IN(RuleBody, where, NODE_CODE), NODES_IN(RuleBody, when, NODE_CODE),
    FIELDS_IN(RuleBody, reads),           NUMBER_IN(RuleBody, unsilenced),
    NUMBER_IN(RuleBody, asks_dates),      NUMBER_IN(RuleBody, asks_season),
    NUMBER_IN(RuleBody, where_asks_day),  NUMBER_IN(RuleBody, asks_records),
    NUMBER_IN(RuleBody, asks_mixed),      NUMBER_IN(RuleBody, asks_shares),
    NUMBER_IN(RuleBody, atoms),
};
static const Member code_members[] = {
    NUMBER_IN(Code, kind),
    NUMBER_IN(Code, atom),
    SPAN_IN(Code, span),
    NODES_IN(Code, a, NODE_SUM),
    NODES_IN(Code, b, NODE_SUM),
    ARRAY_IN(Code, set.at, set.count, NODE_INTERVAL),
    NODES_IN(Code, first, NODE_CODE),
    NUMBER_IN(Code, negated),
    NUMBER_IN(Code, compare),
    REF_IN(Code, ref),
    ARRAY_IN(Code, words, word_count, NODE_WORD),
    NUMBER_IN(Code, thing),
    NAME_IN(Code, role),
    NUMBER_IN(Code, relation),
    NUMBER_IN(Code, edge),
    NUMBER_IN(Code, other_thing),
    NAME_IN(Code, other_role),
    NODES_IN(Code, c, NODE_SUM),
    ARRAY_IN(Code, windows, window_count, NODE_WINDOW),
    NUMBER_IN(Code, has_other),
    REF_IN(Code, other),
};
static const Member sum_members[] = {
    NUMBER_IN(Sum, kind),
    SPAN_IN(Sum, span),
    NUMBER_IN(Sum, is_day),
    NUMBER_IN(Sum, dimension),
    NUMBER_IN(Sum, number.num),
    NUMBER_IN(Sum, number.den),
    ROW_IN(Sum, unit, TABLE_UNITS),
    REF_IN(Sum, ref),
    NUMBER_IN(Sum, point),
    NODES_IN(Sum, a, NODE_SUM),
    NODES_IN(Sum, b, NODE_SUM),
    NUMBER_IN(Sum, edge),
    NAME_IN(Sum, role),
    NUMBER_IN(Sum, day),
};
static const Member interval_members[] = {BOUND_IN(Interval, low), BOUND_IN(Interval, high)};
static const Member window_members[] = {
    MARK_IN(Window, first),
    MARK_IN(Window, last),
    NUMBER_IN(Window, all_year),
};
static const Member word_members[] = {NAME_IN(Word, name), SPAN_IN(Word, span)};

static const Shape shapes[] = {
    [NODE_BLOCK] = SHAPE_OF_LIST(Block, block_members),
    [NODE_SHIPPED] = SHAPE(Shipped, shipped_members),
    [NODE_RULE] = SHAPE(Rule, rule_members),
    [NODE_BODY] = SHAPE(RuleBody, body_members),
    [NODE_CODE] = SHAPE_OF_LIST(Code, code_members),
    [NODE_SUM] = SHAPE(Sum, sum_members),
    [NODE_INTERVAL] = SHAPE(Interval, interval_members),
    [NODE_WINDOW] = SHAPE(Window, window_members),
    [NODE_WORD] = SHAPE(Word, word_members),
};
static const PackFormat format = {shapes, tables};

/* ------------------------------------------------------------------ when the program is built */

static const Rule *rule_of(const Nursery *nursery, const Block *block)
{
    for (size_t i = 0; i < nursery->rule_count; i++)
        if (nursery->rules[i].block == block) return &nursery->rules[i];
    return NULL;
}

static Shipped *carried(const Nursery *nursery, const Block *block)
{
    Item *item = ARENA_NEW(nursery->arena, Item);
    *item = *block->item;
    item->next = NULL;
    Buffer *tree = buffer_in_memory(nursery->arena);
    tree_pack(&(Tree){block->name_span.text, item}, tree);
    Shipped *shipped = ARENA_NEW(nursery->arena, Shipped);
    shipped->tree = buffer_slice_of(tree);
    shipped->rule = rule_of(nursery, block);
    return shipped;
}

void shipped_pack(const Nursery *nursery, const Text *text, Buffer *out)
{
    Block *first = NULL, **end = &first;
    for (int kind = 1; kind < BLOCK_KINDS; kind++) {
        for (size_t i = 0; i < nursery->lists[kind].count; i++) {
            const Block *block = nursery->lists[kind].at[i];
            if (block->name_span.text != text) continue;
            *end = ARENA_NEW(nursery->arena, Block);
            **end = (Block){.type = block->type, .name = block->name, .name_span = block->name_span};
            (*end)->shipped = carried(nursery, block);
            if (block->type->naming == NAMING_TAXON) { /* which is found by its words */
                (*end)->names = block->names;
                (*end)->name_count = block->name_count;
            }
            end = &(*end)->next;
        }
    }
    pack(&format, out, text, NODE_BLOCK, first);
}

/* ------------------------------------------------------------------ when it starts */

Block *shipped_unpack(Arena *arena, Names *names, const Text *text, const char *bytes)
{
    Block *first = unpack(&format, arena, names, text, NODE_BLOCK, bytes);
    for (Block *block = first; block; block = block->next) {
        block->built_in = true;
        block->id = block->name->text;
    }
    return first;
}

void shipped_open(const BuildContext *context, Block *block)
{
    const Tree *tree = tree_unpack(context->arena, block->name_span.text, block->shipped->tree.at);
    block_read(context, block, tree->first, "");
}
