/* The whole tree as indented text, for tests and for people who look into the machine.
 *
 * Given a tree, writes a line for every item, its value or condition behind it and its trailers below;
 * brackets show how parts and operands belong together. It recurses as deep as blocks and conditions go,
 * which tree.h limits.
 */
#include "syntax/tree.h"

#include "base/buffer.h"

/* ------------------------------------------------------------------ phrases */

static void dump_text(Buffer *out, Slice text)
{
    buffer_char(out, '"');
    buffer_escaped(out, text);
    buffer_char(out, '"');
}

static void dump_quantity(Buffer *out, const Quantity *quantity)
{
    char number[48];
    buffer_bytes(out, number, number_write(number, sizeof number, quantity->number));
    if (quantity->unit.length == 0) return;
    buffer_char(out, ' ');
    buffer_slice(out, quantity->unit);
}

static void dump_day(Buffer *out, YearDay day)
{
    char text[DAY_TEXT];
    buffer_bytes(out, text, year_day_write(text, day));
}

static const char *const pair_sign[] = {
    [PART_SHARE] = " in ",  [PART_SUM] = " + ",          [PART_RANGE] = " .. ",
    [PART_AROUND] = " +- ", [PART_AT_MOST] = "at most ", [PART_AT_LEAST] = "at least ",
    [PART_LESS] = "< ",     [PART_MORE] = "> ",          [PART_BRACKET] = "restated ",
};

static void dump_part(Buffer *out, const Part *part)
{
    switch (part->kind) {
    case PART_WORD: buffer_slice(out, part->word); return;
    case PART_TEXT: dump_text(out, part->word); return;
    case PART_QUANTITY: dump_quantity(out, &part->quantity); return;
    case PART_DATE: buffer_iso_day(out, part->date); return;
    case PART_DAY:
        buffer_char(out, '<');
        dump_day(out, part->day);
        buffer_char(out, '>');
        return;
    case PART_TIME: buffer_print(out, "%02d:%02d", part->minutes / 60, part->minutes % 60); return;
    case PART_SHARE:
    case PART_SUM:
    case PART_RANGE:
    case PART_AROUND:
        buffer_char(out, '(');
        dump_part(out, part->a);
        buffer_text(out, pair_sign[part->kind]);
        dump_part(out, part->b);
        buffer_char(out, ')');
        return;
    case PART_AT_MOST:
    case PART_AT_LEAST:
    case PART_LESS:
    case PART_MORE:
    case PART_BRACKET:
        buffer_char(out, '(');
        buffer_text(out, pair_sign[part->kind]);
        dump_part(out, part->a);
        buffer_char(out, ')');
        return;
    }
}

static void dump_value(Buffer *out, Value value)
{
    for (const Mix *mix = value.first; mix; mix = mix->next) {
        for (const Phrase *phrase = mix->first; phrase; phrase = phrase->next) {
            for (const Part *part = phrase->first; part; part = part->next) {
                buffer_char(out, ' ');
                dump_part(out, part);
            }
            if (phrase->next) buffer_text(out, " :");
        }
        if (mix->next) buffer_text(out, " ,");
    }
}

/* ------------------------------------------------------------------ conditions */

static const char *const expr_sign[] = {
    [EXPR_NEGATE] = "-",      [EXPR_ADD] = "+",
    [EXPR_SUBTRACT] = "-",    [EXPR_MULTIPLY] = "*",
    [EXPR_DIVIDE] = "/",      [EXPR_LESS] = "<",
    [EXPR_LESS_EQUAL] = "<=", [EXPR_MORE] = ">",
    [EXPR_MORE_EQUAL] = ">=", [EXPR_EQUAL] = "=",
    [EXPR_UNEQUAL] = "<>",    [EXPR_IN] = "in",
    [EXPR_IS] = "is",         [EXPR_INCLUDES] = "includes",
    [EXPR_MIXED] = "mixed",   [EXPR_HAS] = "has",
    [EXPR_NOT] = "not",       [EXPR_AND] = "and",
    [EXPR_OR] = "or",
};
static const char *const point_word[] = {"low", "high", "middle", "earliest", "planned", "latest"};
static const char *const thing_word[] = {"stage", "task", "record"};
static const char *const relation_word[] = {"", "in", "before", "after"};
static const char *const edge_word[] = {"", "start of ", "end of "};

static void dump_words(Buffer *out, const ExprWord *word, const char *between)
{
    for (; word; word = word->next) {
        buffer_slice(out, word->word);
        if (word->next) buffer_text(out, between);
    }
}

static void dump_thing(Buffer *out, ThingEdge edge, ThingKind kind, const ExprWord *role)
{
    buffer_text(out, edge_word[edge]);
    buffer_text(out, thing_word[kind]);
    if (role) buffer_char(out, ' ');
    dump_words(out, role, ".");
}

static void dump_expr(Buffer *out, const Expr *expr);

static void dump_operand(Buffer *out, const Expr *expr)
{
    if (!expr) return;
    buffer_char(out, ' ');
    dump_expr(out, expr);
}

static void dump_has(Buffer *out, const Expr *expr)
{
    buffer_char(out, ' ');
    dump_thing(out, EDGE_NONE, expr->thing, expr->role);
    if (expr->relation != RELATION_NONE) {
        buffer_print(out, " (%s ", relation_word[expr->relation]);
        dump_thing(out, expr->edge, expr->other, expr->other_role);
        buffer_char(out, ')');
    }
    if (!expr->where) return;
    buffer_text(out, " (where");
    dump_operand(out, expr->where);
    buffer_char(out, ')');
}

static void dump_is(Buffer *out, const Expr *expr)
{
    buffer_char(out, ' ');
    dump_words(out, expr->name, ".");
    buffer_char(out, ' ');
    if (expr->is == IS_WORDS)
        dump_words(out, expr->words, "|");
    else
        buffer_text(out, expr->is == IS_STATED ? "STATED" : "UNSTATED");
}

static void dump_expr(Buffer *out, const Expr *expr)
{
    switch (expr->kind) {
    case EXPR_QUANTITY:
        dump_quantity(out, &expr->quantity);
        if (expr->per.length > 0) buffer_print(out, " per %.*s", SLICE_ARG(expr->per));
        return;
    case EXPR_DATE: buffer_iso_day(out, expr->date); return;
    case EXPR_DAY: dump_day(out, expr->day); return;
    case EXPR_TEXT: dump_text(out, expr->text); return;
    case EXPR_NAME: dump_words(out, expr->name, "."); return;
    case EXPR_MOMENT: dump_thing(out, expr->edge, expr->thing, expr->role); return;
    default: break;
    }
    buffer_char(out, '(');
    if (expr->negated) buffer_char(out, '!');
    buffer_text(out, expr->kind == EXPR_POINT ? point_word[expr->point] : expr_sign[expr->kind]);
    if (expr->kind == EXPR_IS) {
        dump_is(out, expr);
    } else if (expr->kind == EXPR_HAS) {
        dump_has(out, expr);
    } else if (expr->name) {
        buffer_char(out, ' ');
        dump_words(out, expr->name, ".");
        if (expr->words) buffer_char(out, ' ');
        dump_words(out, expr->words, ".");
    }
    dump_operand(out, expr->a);
    dump_operand(out, expr->b);
    dump_operand(out, expr->c);
    buffer_char(out, ')');
}

/* ------------------------------------------------------------------ items */

static const char *const item_word[] = {
    [ITEM_CLAUSE] = "clause", [ITEM_BLOCK] = "block",   [ITEM_CONDITION] = "condition",
    [ITEM_DATED] = "dated",   [ITEM_BROKEN] = "broken",
};
static const char *const strength_word[] = {"", " must", " prefer", " never"};

static void dump_reason(Buffer *out, size_t indent, const char *word, Slice text)
{
    if (!text.at) return;
    buffer_spaces(out, indent);
    buffer_print(out, "%s ", word);
    dump_text(out, text);
    buffer_char(out, '\n');
}

static void dump_trailers(Buffer *out, size_t indent, const Item *item)
{
    for (const Citation *citation = item->citations; citation; citation = citation->next) {
        buffer_spaces(out, indent);
        buffer_print(out, "cite %.*s", SLICE_ARG(citation->key));
        if (citation->where.length > 0) buffer_print(out, " at %.*s", SLICE_ARG(citation->where));
        buffer_char(out, '\n');
    }
    dump_reason(out, indent, "because", item->because);
    dump_reason(out, indent, "instead", item->instead);
}

static void dump_items(Buffer *out, size_t indent, const Item *item)
{
    for (; item; item = item->next) {
        buffer_spaces(out, indent);
        buffer_print(out, "%s%s", item_word[item->kind], strength_word[item->strength]);
        if (item->kind == ITEM_DATED) {
            buffer_char(out, ' ');
            buffer_iso_day(out, item->date);
        }
        if (item->field.length > 0) buffer_print(out, " %.*s", SLICE_ARG(item->field));
        if (item->value.first) buffer_text(out, " =");
        dump_value(out, item->value);
        dump_operand(out, item->condition);
        buffer_char(out, '\n');
        dump_trailers(out, indent + 2, item);
        dump_items(out, indent + 2, item->first);
    }
}

void tree_dump(const Tree *tree, struct Buffer *out)
{
    dump_items(out, 0, tree->first);
}
