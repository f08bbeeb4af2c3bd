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

static const char *many_of(Arena *arena, BlockKind kind)
{
    static const char *const many[BLOCK_KINDS] = {[BLOCK_BATCH] = "batches",
                                                  [BLOCK_SPECIES] = "species",
                                                  [BLOCK_VARIETY] = "varieties",
                                                  [BLOCK_STOCK] = "stock plants"};
    return many[kind] ? many[kind] : arena_print(arena, "%ss", block_types[kind].spelling);
}

enum { NAMES_TOLD = 8 }; /* of a longer list */

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

bool change_is_trailer(const Change *change)
{
    return change->kind == CHANGE_CLAUSE && !(change->cells & ~(CELL_BIT(REASON) | CELL_BIT(SOURCE)));
}

static const char *clause_words(Arena *arena, const Change *change)
{
    const Cells trailers = CELL_BIT(REASON) | CELL_BIT(SOURCE);
    const char *field = change_field(arena, change);
    if (!(change->cells & ~trailers))
        return arena_print(arena, "%s %s: %s", field, change->is, trailers_of(change->cells));
    return from_to(arena, field, change);
}

static bool is_owner(const Change *change)
{
    return !*change->path && change->kind == CHANGE_BLOCK;
}

/* What is told of stands there already when it is the owner itself. */
static const char *block_words(Arena *arena, const Change *change)
{
    const Block *block = change->block_after ? change->block_after : change->block_before;
    const char *state = change->block_after ? "new" : "gone";
    const char *name = block->name ? arena_print(arena, "%s %s", block->type->spelling, block->name->text)
                                   : block->type->spelling;
    const char *title = block->title.length ? arena_print(arena, "\"%.*s\"", SLICE_ARG(block->title)) : "";
    if (is_owner(change)) return arena_print(arena, "%s%s%s", state, *title ? ", " : "", title);
    return arena_print(arena, "%s%s%s: %s", name, *title ? " " : "", title, state);
}

static const char *rename_words(Arena *arena, const Change *change)
{
    BlockKind kind = change->block_after->type->kind;
    const char *hint = "";
    if (change->guessed && field_find(SLICE("was"), kind))
        hint = arena_print(arena, " (a guess: write  was %s  in it to say so)", change->was);
    else if (change->guessed)
        hint = " (a guess)";
    return arena_print(arena, "called %s before%s", change->was, hint);
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
    case CHANGE_RENAMED: return rename_words(arena, change);
    case CHANGE_TITLE:
        return arena_print(arena, "%s \"%s\" -> \"%s\"",
                           change->owner_kind == BLOCK_RULE ? "message" : "title", change->was, change->is);
    case CHANGE_ORDER: return arena_print(arena, "order of stages %s -> %s", change->was, change->is);
    case CHANGE_SEVERITY: return arena_print(arena, "judged %s -> %s", change->was, change->is);
    case CHANGE_CONDITION: return arena_print(arena, "condition %s -> %s", change->was, change->is);
    case CHANGE_LINES: return lines_words(arena, change);
    }
    return "";
}

const char *change_path(Arena *arena, const Change *change)
{
    const char *slash = strrchr(change->path, '/');
    if (change->kind != CHANGE_BLOCK) return change->path;
    return slash ? arena_copy(arena, change->path, (size_t)(slash - change->path)) : "";
}

const char *change_line(Arena *arena, const Change *change)
{
    const char *path = change_path(arena, change), *words = change_words(arena, change);
    return *path ? arena_print(arena, "%s: %s", path, words) : words;
}

bool change_same_owner(const Change *a, const Change *b)
{
    return a->owner_kind == b->owner_kind && !strcmp(a->owner, b->owner);
}

bool change_same_reach(const Change *a, const Change *b)
{
    if (a->reach_count != b->reach_count) return false;
    for (size_t i = 0; i < a->reach_count; i++)
        if (strcmp(a->reaches[i], b->reaches[i])) return false;
    return true;
}

/* "a, b and 3 more" */
static const char *some_of(Arena *arena, const char *const *texts, size_t count)
{
    const char *text = "";
    for (size_t i = 0; i < count && i < NAMES_TOLD; i++)
        text = arena_print(arena, "%s%s%s", text, i ? ", " : "", texts[i]);
    return count > NAMES_TOLD ? arena_print(arena, "%s and %zu more", text, count - NAMES_TOLD) : text;
}

const char *change_reach(Arena *arena, const Change *change)
{
    bool practice = change->owner_kind == BLOCK_PRACTICE;
    if (!change->reach_count) return practice ? "felt by no protocol" : NULL;
    return arena_print(arena, practice ? "felt by %s" : "felt also by %s",
                       some_of(arena, change->reaches, change->reach_count));
}

/* ------------------------------------------------------------------ folding */

enum { FOLD_FROM = 4 }; /* so many of a kind, and they are told in one line */

static bool is_whole(const Change *change)
{
    return is_owner(change) && change->owner_kind != BLOCK_PROTOCOL;
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

const char *fold_words(Arena *arena, const Change *changes, size_t count)
{
    const char **names = ARENA_ARRAY(arena, const char *, count);
    for (size_t i = 0; i < count; i++) names[i] = changes[i].owner;
    return arena_print(arena, "%zu %s are %s: %s", count, many_of(arena, changes->owner_kind),
                       changes->block_after ? "new" : "gone", some_of(arena, names, count));
}

/* ------------------------------------------------------------------ a plan */

static const char *shift_words(Arena *arena, int32_t least, int32_t most)
{
    const char *side = least > 0 ? "later" : "earlier";
    int32_t low = least > 0 ? least : -most, high = least > 0 ? most : -least;
    if (least < 0 && most > 0) return arena_print(arena, "moved, %d days earlier to %d later", -least, most);
    if (low == high) return arena_print(arena, "%s by %d %s", side, low, low == 1 ? "day" : "days");
    return arena_print(arena, "%s by %d .. %d days", side, low, high);
}

const char *task_change_words(Arena *arena, const TaskChange *change)
{
    const char *text = change->path, *separator = ": ";
    if (change->added) {
        text = arena_print(arena, "%s%s%zu new", text, separator, change->added);
        separator = ", ";
    }
    if (change->dropped) {
        text = arena_print(arena, "%s%s%zu gone", text, separator, change->dropped);
        separator = ", ";
    }
    if (!change->moved) return text;
    return arena_print(arena, "%s%s%zu %s", text, separator, change->moved,
                       shift_words(arena, change->least, change->most));
}

static const char *needed_words(Arena *arena, int64_t needed)
{
    return needed == NEEDED_UNKNOWN ? "no figure" : arena_print(arena, "%lld", (long long)needed);
}

const char *needed_change_words(Arena *arena, const BatchChange *change)
{
    if (change->needed[0] == change->needed[1]) return NULL;
    return arena_print(arena, "%s -> %s for %lld finished", needed_words(arena, change->needed[0]),
                       needed_words(arena, change->needed[1]), (long long)change->wanted);
}

const char *plan_sentence(Arena *arena, const PlanDiff *plan)
{
    const char *batches = plan->all == 1 ? "batch" : "batches";
    if (!plan->batch_count)
        return arena_print(arena, "nothing is different for its %zu %s", plan->all, batches);
    const char *sentence =
        arena_print(arena, "%zu of %zu %s: findings %zu new, %zu gone; tasks %zu new, %zu gone, %zu moved",
                    plan->batch_count, plan->all, batches, plan->appear, plan->vanish, plan->added,
                    plan->dropped, plan->moved);
    if (!plan->needed) return sentence;
    return arena_print(arena, "%s; cuttings to stick: %zu otherwise", sentence, plan->needed);
}

/* ------------------------------------------------------------------ totals */

static const char *totals(Arena *arena, const Diff *diff)
{
    static const Direction order[] = {DIRECTION_TIGHTENED, DIRECTION_LOOSENED, DIRECTION_MOVED,
                                      DIRECTION_EDITORIAL};
    const char *separator = ": ";
    const char *text =
        arena_print(arena, "%zu of %zu %s %s", diff->protocols_changed, diff->protocols,
                    diff->protocols == 1 ? "protocol" : "protocols",
                    diff->protocols == 1 || diff->protocols_changed == 1 ? "differs" : "differ");
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        if (!diff->directions[order[i]]) continue;
        text = arena_print(arena, "%s%s%zu %s", text, separator, diff->directions[order[i]],
                           direction_name[order[i]]);
        separator = ", ";
    }
    return text;
}

const char *briefing_sentence(const Briefing *briefing)
{
    if (briefing->diff->count) return totals(briefing->arena, briefing->diff);
    if (briefing->same_bytes) return "Nothing is different.";
    return briefing->left_out ? "What can be compared means the same."
                              : "Only spelling or layout differs: everything means the same.";
}

const char *briefing_left_out(const Briefing *briefing)
{
    if (!briefing->left_out || briefing->same_bytes) return NULL;
    return arena_print(briefing->arena, "Left out, as it cannot be taken as it is: %zu %s.",
                       briefing->left_out, briefing->left_out == 1 ? "thing" : "things");
}
