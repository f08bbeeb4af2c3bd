/* What the forms of a briefing share: changes in words, and what is told in one line. */
#include "write/briefing.h"

#include <string.h>

const char *const chapter_title[CHAPTERS] = {[CHAPTER_WORK] = "What workers do differently",
                                             [CHAPTER_PROMISE] = "What is promised differently",
                                             [CHAPTER_RULES] = "What is checked differently",
                                             [CHAPTER_HOUSE] = "What else of the house is different",
                                             [CHAPTER_EDITORIAL] = "Words, reasons and sources"};
const char *const chapter_name[CHAPTERS] = {[CHAPTER_WORK] = "work",
                                            [CHAPTER_PROMISE] = "promise",
                                            [CHAPTER_RULES] = "rules",
                                            [CHAPTER_HOUSE] = "house",
                                            [CHAPTER_EDITORIAL] = "editorial"};

const char *block_kind_many(BlockKind kind)
{
    static const char *const many[BLOCK_KINDS] = {[BLOCK_BATCH] = "batches",
                                                  [BLOCK_SPECIES] = "species",
                                                  [BLOCK_VARIETY] = "varieties",
                                                  [BLOCK_STOCK] = "stock plants"};
    return many[kind];
}

/* ------------------------------------------------------------------ words */

static const char *from_to(Arena *arena, const char *what, const Change *change)
{
    if (!change->was) return arena_print(arena, "%s: new, %s", what, change->is);
    if (!change->is) return arena_print(arena, "%s: gone, was %s", what, change->was);
    const char *text = arena_print(arena, "%s %s -> %s", what, change->was, change->is);
    return change->shape ? arena_print(arena, "%s (%s)", text, change->shape) : text;
}

static const char *trailers_of(Cells cells)
{
    const Cells both = CELL_BIT(REASON) | CELL_BIT(SOURCE);
    if ((cells & both) == both) return "its reason and source";
    return cells & CELL_BIT(REASON) ? "its reason" : "its source";
}

const char *change_field(Arena *arena, const Change *change)
{
    if (!change->field) return "condition";
    return *change->strength ? arena_print(arena, "%s %s", change->strength, change->field->spelling)
                             : change->field->spelling;
}

static const char *clause_words(Arena *arena, const Change *change)
{
    const Cells trailers = CELL_BIT(REASON) | CELL_BIT(SOURCE);
    const char *field = change_field(arena, change);
    if (!(change->cells & ~trailers))
        return arena_print(arena, "%s %s: %s", field, change->is, trailers_of(change->cells));
    return from_to(arena, field, change);
}

static const char *block_words(Arena *arena, const Change *change)
{
    const Block *block = change->block_after ? change->block_after : change->block_before;
    const char *state = change->block_after ? "new" : "gone";
    const char *name = block->name ? arena_print(arena, "%s %s", block->type->spelling, block->name->text)
                                   : block->type->spelling;
    return block->title.length ? arena_print(arena, "%s \"%.*s\": %s", name, SLICE_ARG(block->title), state)
                               : arena_print(arena, "%s: %s", name, state);
}

static const char *lines_words(Arena *arena, const Change *change)
{
    if (!change->was) return arena_print(arena, "%s more in the record", change->is);
    if (!change->is) return arena_print(arena, "%s fewer in the record", change->was);
    return arena_print(arena, "%s of the record gone, %s new", change->was, change->is);
}

const char *change_words(Arena *arena, const Change *change)
{
    switch (change->kind) {
    case CHANGE_CLAUSE: return clause_words(arena, change);
    case CHANGE_BLOCK: return block_words(arena, change);
    case CHANGE_RENAMED:
        return arena_print(arena, "called %s before%s", change->was,
                           change->guessed
                               ? arena_print(arena, " (a guess: write  was %s  in it to say so)", change->was)
                               : "");
    case CHANGE_TITLE: return arena_print(arena, "title \"%s\" -> \"%s\"", change->was, change->is);
    case CHANGE_ORDER: return arena_print(arena, "order of stages %s -> %s", change->was, change->is);
    case CHANGE_SEVERITY: return arena_print(arena, "judged %s -> %s", change->was, change->is);
    case CHANGE_CONDITION: return arena_print(arena, "condition %s -> %s", change->was, change->is);
    case CHANGE_EXAMPLES: return "its examples";
    case CHANGE_LINES: return lines_words(arena, change);
    }
    return "";
}

/* ------------------------------------------------------------------ folding */

enum { FOLD_FROM = 4 }; /* so many of a kind, and they are told in one line */

static bool is_whole(const Change *change)
{
    return change->kind == CHANGE_BLOCK && !*change->path && change->owner_kind != BLOCK_PROTOCOL;
}

/* Whether two whole blocks came, or went, together. */
static bool alike(const Change *a, const Change *b)
{
    return is_whole(b) && a->chapter == b->chapter && a->owner_kind == b->owner_kind &&
           !a->block_after == !b->block_after;
}

Fold fold_at(const Diff *diff, size_t index)
{
    const Change *first = &diff->changes[index];
    Fold fold = {.count = 1};
    if (!is_whole(first)) return fold;
    while (index + fold.count < diff->count && alike(first, &diff->changes[index + fold.count])) fold.count++;
    fold.folded = fold.count >= FOLD_FROM;
    if (!fold.folded) fold.count = 1;
    return fold;
}
