/* Old names read as new ones.
 *
 * What is only called otherwise is one change, told where it stands; where it is mentioned, nothing is
 * different. So clauses are compared as if all had been written with the names of now.
 */
#include "analysis/diff_work.h"

void diff_know_name(DiffWalk *walk, const Block *before, const Block *after)
{
    if (!before || !after || !before->name || !after->name || before->name == after->name) return;
    VEC_PUSH(walk->arena, &walk->renamings, ((Renaming){before->type->kind, before->name, after->name}));
    walk->inner_names =
        walk->inner_names || before->type->kind == BLOCK_STAGE || before->type->kind == BLOCK_TASK;
}

static Name name_now(const DiffWalk *walk, BlockKind kind, Name name)
{
    for (size_t i = 0; i < walk->renamings.count; i++)
        if (walk->renamings.at[i].kind == kind && walk->renamings.at[i].was == name)
            return walk->renamings.at[i].is;
    return name;
}

Name diff_name_before(const DiffWalk *walk, BlockKind kind, Name name)
{
    for (size_t i = 0; i < walk->renamings.count; i++)
        if (walk->renamings.at[i].kind == kind && walk->renamings.at[i].is == name)
            return walk->renamings.at[i].was;
    return name;
}

/* What the words of a field name, if anything that can be renamed. */
static BlockKind kind_named(const Field *field)
{
    if (field->type == TYPE_MOVE) return BLOCK_TASK;
    if (field->type == TYPE_ACCEPT) return BLOCK_RULE;
    if (field == FIELD_ROW(AFTER) || field == FIELD_ROW(BEFORE)) return BLOCK_STAGE;
    const BlockType *type = field->type == TYPE_NAME ? block_find(slice_of(field->words)) : NULL;
    return type ? type->kind : BLOCK_NONE;
}

static void rename_words(DiffWalk *walk, BlockKind kind, Reading *reading)
{
    Word *words = ARENA_ARRAY(walk->arena, Word, reading->word_count);
    for (size_t i = 0; i < reading->word_count; i++) {
        words[i] = reading->words[i];
        words[i].name = name_now(walk, kind, words[i].name);
    }
    reading->words = words;
}

static void rename_lists(DiffWalk *walk, Reading *reading)
{
    Standing *standings = ARENA_ARRAY(walk->arena, Standing, reading->standing_count);
    for (size_t i = 0; i < reading->standing_count; i++)
        standings[i] = (Standing){name_now(walk, BLOCK_PLACE, reading->standings[i].place),
                                  name_now(walk, BLOCK_STAGE, reading->standings[i].from)};
    Holding *holdings = ARENA_ARRAY(walk->arena, Holding, reading->holding_count);
    for (size_t i = 0; i < reading->holding_count; i++)
        holdings[i] = (Holding){reading->holdings[i].count,
                                name_now(walk, BLOCK_CONTAINER, reading->holdings[i].container)};
    reading->standings = standings;
    reading->holdings = holdings;
}

static bool mentions(const Field *field, const Reading *reading)
{
    return kind_named(field) != BLOCK_NONE || reading->standing_count || reading->holding_count ||
           reading->moment.stage || reading->each;
}

const Clause *diff_as_called_now(DiffWalk *walk, const Clause *clause)
{
    if (!walk->renamings.count || !clause->reading || !mentions(clause->field, clause->reading))
        return clause;
    BlockKind kind = kind_named(clause->field);
    Reading *reading = ARENA_NEW(walk->arena, Reading);
    *reading = *clause->reading;
    if (kind != BLOCK_NONE && reading->word_count) rename_words(walk, kind, reading);
    rename_lists(walk, reading);
    reading->moment.stage = name_now(walk, BLOCK_STAGE, reading->moment.stage);
    reading->each = name_now(walk, BLOCK_TASK, reading->each);
    Clause *now = ARENA_NEW(walk->arena, Clause);
    *now = *clause;
    now->reading = reading;
    return now;
}
