/* Where a nursery uses what a page is about: a walk through the items of its own files, and down a plan.
 *
 * Items are asked and not readings, so that what could not be read is found too. A name in a condition stands
 * for every field so spelt of batches, or, where batches have none, of anything.
 */
#include "analysis/explain.h"

#include <stdlib.h>
#include <string.h>

typedef struct Walk {
    const Topic *topic;
    Arena *arena;
    VEC(Span) found;
} Walk;

static void found(Walk *walk, Span span)
{
    VEC_PUSH(walk->arena, &walk->found, span);
}

static bool is_topic(const Walk *walk, TopicKind kind, Slice word)
{
    return walk->topic->kind == kind && slice_equal(walk->topic->name, word);
}

/* ------------------------------------------------------------------ values */

/* `%` is two units: the field says which. One that no field has is counted wherever it is written. */
static bool is_unit(const Walk *walk, Slice unit, const Field *field)
{
    if (!is_topic(walk, TOPIC_UNIT, unit)) return false;
    return !field || field->dimension == DIM_NONE || field->dimension == walk->topic->unit->dimension;
}

static bool names_a_thing(const Field *field)
{
    static const bool naming[VALUE_TYPES] = {
        [TYPE_NAME] = true, [TYPE_STANDS] = true, [TYPE_HOLDS] = true,  [TYPE_TAXON] = true,
        [TYPE_MOVE] = true, [TYPE_AT] = true,     [TYPE_MOMENT] = true, [TYPE_DROP] = true};
    return field && naming[field->type];
}

static void walk_part(Walk *walk, const Part *part, const Field *field)
{
    if (!part) return;
    if (part->kind == PART_QUANTITY && is_unit(walk, part->quantity.unit, field)) found(walk, part->span);
    if (part->kind == PART_WORD) {
        if (field == walk->topic->field && is_topic(walk, TOPIC_WORD, part->word)) found(walk, part->span);
        if (names_a_thing(field) && is_topic(walk, TOPIC_NAMED, part->word)) found(walk, part->span);
    }
    walk_part(walk, part->a, field);
    walk_part(walk, part->b, field);
}

static void walk_value(Walk *walk, const Value *value, const Field *field)
{
    for (const Mix *mix = value->first; mix; mix = mix->next)
        for (const Phrase *phrase = mix->first; phrase; phrase = phrase->next)
            for (const Part *part = phrase->first; part; part = part->next) walk_part(walk, part, field);
}

static const Part *first_word(const Value *value)
{
    const Part *part = value->first && value->first->first ? value->first->first->first : NULL;
    return part && part->kind == PART_WORD ? part : NULL;
}

/* ------------------------------------------------------------------ conditions */

static bool is_asked(const Field *field)
{
    return field_stands_in(field, BLOCK_BATCH) || !field_find(slice_of(field->spelling), BLOCK_BATCH);
}

static void walk_condition(Walk *walk, const Expr *expr)
{
    if (!expr) return;
    for (const ExprWord *word = expr->name; word; word = word->next) {
        bool field = is_topic(walk, TOPIC_FIELD, word->word) && is_asked(walk->topic->field);
        if (field || is_topic(walk, TOPIC_DERIVED, word->word)) found(walk, word->span);
    }
    for (const ExprWord *word = expr->words; word; word = word->next)
        if (is_topic(walk, TOPIC_WORD, word->word) && expr->name &&
            slice_is(expr->name->word, walk->topic->field->spelling))
            found(walk, word->span);
    if (expr->kind == EXPR_QUANTITY && is_unit(walk, expr->quantity.unit, NULL)) found(walk, expr->span);
    walk_condition(walk, expr->a);
    walk_condition(walk, expr->b);
    walk_condition(walk, expr->c);
    walk_condition(walk, expr->where);
}

/* ------------------------------------------------------------------ items */

/* A finding is used where it is accepted or judged: findings, rules, and fields that judge. */
static void walk_silencing(Walk *walk, const Item *item, const Field *field)
{
    const Part *word = first_word(&item->value);
    bool silences = field->type == TYPE_ACCEPT || field->type == TYPE_JUDGE;
    bool judges = walk->topic->kind == TOPIC_FINDING || walk->topic->kind == TOPIC_RULE ||
                  (walk->topic->kind == TOPIC_FIELD && role_judges(walk->topic->field->role));
    if (silences && judges && word && slice_equal(word->word, walk->topic->name)) found(walk, word->span);
}

static void walk_clause(Walk *walk, const Item *item, BlockKind block)
{
    const Part *word = first_word(&item->value);
    bool kept = slice_is(item->field, "keep") && word;
    const Field *field = field_find(kept ? word->word : item->field, block);
    if (!field) return;
    if (walk->topic->kind == TOPIC_FIELD && field == walk->topic->field)
        found(walk, kept ? word->span : item->field_span);
    walk_silencing(walk, item, field);
    walk_value(walk, &item->value, field);
    walk_condition(walk, item->condition);
}

static void walk_line(Walk *walk, const Item *item)
{
    const Part *verb = first_word(&item->value);
    if (!verb) return;
    if (is_topic(walk, TOPIC_VERB, verb->word)) found(walk, verb->span);
    const Part *thing = verb->next;
    if (thing && thing->kind == PART_WORD && is_topic(walk, TOPIC_NAMED, thing->word))
        found(walk, thing->span);
}

static void walk_items(Walk *walk, const Item *items, BlockKind block)
{
    for (const Item *item = items; item; item = item->next) {
        const BlockType *type = item->kind == ITEM_BLOCK ? block_find(item->field) : NULL;
        if (type) {
            if (walk->topic->kind == TOPIC_BLOCK && walk->topic->block == type->kind)
                found(walk, item->field_span);
            walk_items(walk, item->first, type->kind);
        } else if (item->kind == ITEM_DATED) {
            walk_line(walk, item);
        } else if (item->kind != ITEM_BROKEN) {
            walk_clause(walk, item, block);
        }
    }
}

static void walk_block(Walk *walk, const Block *block)
{
    if (walk->topic->kind == TOPIC_BLOCK && walk->topic->block == block->type->kind)
        found(walk, block->item->field_span);
    if (walk->topic->kind == TOPIC_NAMED && block->type->kind == BLOCK_RECORD &&
        slice_equal(name_slice(block->name), walk->topic->name))
        found(walk, block->name_span);
    walk_items(walk, block->type->kind == BLOCK_RECORD ? NULL : block->item->first, block->type->kind);
    for (const RecordLine *line = block->lines; line; line = line->next)
        walk_line(walk, record_written(line));
}

/* ------------------------------------------------------------------ all */

static int in_order(const void *a, const void *b)
{
    const Span *x = a, *y = b;
    int files = strcmp(x->text->name, y->text->name);
    return files ? files : (x->begin > y->begin) - (x->begin < y->begin);
}

static void add_use(Page *page, Span span)
{
    if (page->uses_kept < PAGE_USES) page->uses[page->uses_kept++] = span;
    page->use_count++;
}

void page_find_uses(const Nursery *nursery, Page *page)
{
    Walk walk = {.topic = page->topic, .arena = nursery->arena};
    if (page->topic->kind == TOPIC_NAMED) found(&walk, page->topic->named->name_span);
    if (nursery->self) walk_block(&walk, nursery->self);
    for (int kind = 1; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; i < nursery->lists[kind].count; i++)
            if (!nursery->lists[kind].at[i]->built_in) walk_block(&walk, nursery->lists[kind].at[i]);
    if (walk.found.count) qsort(walk.found.at, walk.found.count, sizeof(Span), in_order);
    for (size_t i = 0; i < walk.found.count; i++) add_use(page, walk.found.at[i]);
}

static bool cell_uses(const Topic *topic, const Reading *reading)
{
    if (topic->kind == TOPIC_FIELD) return true;
    for (size_t i = 0; i < reading->word_count; i++)
        if (slice_equal(name_slice(reading->words[i].name), topic->name)) return true;
    for (size_t i = 0; i < reading->standing_count; i++)
        if (slice_equal(name_slice(reading->standings[i].place), topic->name)) return true;
    return topic->kind == TOPIC_UNIT && reading->unit == topic->unit;
}

static bool column_may_use(const Topic *topic, const Field *field)
{
    switch (topic->kind) {
    case TOPIC_FIELD:
    case TOPIC_WORD: return field == topic->field;
    case TOPIC_UNIT: return field->dimension == topic->unit->dimension;
    case TOPIC_NAMED: return names_a_thing(field);
    default: return false;
    }
}

void page_find_uses_in_plan(const Plan *plan, Page *page)
{
    for (size_t row = 0; row < plan->rows; row++)
        for (size_t column = 0; column < plan->column_count; column++) {
            const Reading *reading = plan->cells[column][row];
            if (!reading || !column_may_use(page->topic, plan->columns[column]) ||
                !cell_uses(page->topic, reading))
                continue;
            bool kept =
                page->uses_kept < PAGE_USES; /* a place is dear to make, so only for those that are told */
            add_use(page, kept ? plan_place(plan, row, plan->columns[column]) : (Span){0});
        }
}
