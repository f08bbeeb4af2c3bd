/* What a protocol says against itself, without any batch: a limit of which nothing is left, a wish outside
 * the limit, a clause that changes nothing. */
#include "analysis/lint_work.h"

typedef struct Contradicting {
    Lint *lint;
    const Block *block;
    const Protocol *protocol;
} Contradicting;

static Note *tell(const Contradicting *at, Severity severity, const char *name, const Clause *main,
                  const Clause *second, const char *message)
{
    severity = nursery_judged(at->lint->nursery, name, severity);
    if (severity == SEVERITY_OFF) return NULL;
    Note *note = notes_add(at->lint->nursery->notes, severity, name, clause_place(main), "%s: %s",
                           main->field->spelling, message);
    note->subject = at->block->id;
    note->field = main->field->spelling;
    if (second) note_place(note, clause_place(second), "against this");
    return note;
}

/* A base's clauses that nobody changed were judged with the base. */
static bool told_with_base(const Contradicting *at, const Clause *a, const Clause *b)
{
    const Clause *base_name = block_clause(at->protocol->written, FIELD_ROW(BASED_ON));
    if (!base_name || !base_name->reading) return false;
    const Protocol *base = nursery_protocol(at->lint->nursery, base_name->reading->words[0].name);
    if (!base || !base->effective) return false;
    const Block *block = at->block == at->protocol->effective
                             ? base->effective
                             : block_child(base->effective, at->block->type->kind, at->block->name);
    bool has_a = false, has_b = false;
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next) {
        has_a = has_a || clause->item == a->item;
        has_b = has_b || clause->item == b->item;
    }
    return has_a && has_b;
}

/* The limit without what is never allowed; NULL when nothing is left (told). */
static const Reading *without_never(const Contradicting *at, const Clause *limit, const Reading *allowed)
{
    Arena *arena = at->lint->nursery->arena;
    for (const Clause *never = at->block->clauses; never; never = never->next) {
        if (never->field != limit->field || never->strength != STRENGTH_NEVER || !never->reading) continue;
        if (limit_disjoint(limit->field, allowed, never->reading) == TRUTH_TRUE) {
            if (never->home == limit->home)
                tell(at, SEVERITY_NOTE, "idle-clause", never, limit, "this is ruled out already");
            continue;
        }
        allowed = limit_without(arena, limit->field, allowed, never->reading);
        if (allowed) continue;
        if (!told_with_base(at, never, limit)) {
            Note *note =
                tell(at, SEVERITY_ERROR, "contradiction", never, limit, "nothing is left of what is allowed");
            if (note) note->allowed = reading_print(arena, limit->field, limit->reading, NULL);
        }
        return NULL;
    }
    return allowed;
}

static void check_wish(const Contradicting *at, const Clause *limit, const Clause *wish,
                       const Reading *allowed)
{
    Arena *arena = at->lint->nursery->arena;
    if (told_with_base(at, limit, wish)) return;
    if (limit_disjoint(limit->field, wish->reading, allowed) == TRUTH_TRUE) {
        Note *note =
            tell(at, SEVERITY_ERROR, "contradiction", wish, limit, "what is preferred is not allowed");
        if (!note) return;
        note->found = reading_print(arena, wish->field, wish->reading, NULL);
        note->allowed = reading_print(arena, limit->field, allowed, NULL);
    } else if (limit_within(limit->field, allowed, wish->reading) == TRUTH_TRUE) {
        tell(at, SEVERITY_NOTE, "idle-clause", wish, limit, "this is preferred and nothing else is allowed");
    } else if (limit_within(limit->field, wish->reading, allowed) == TRUTH_FALSE) {
        Note *note = tell(at, SEVERITY_WARNING, "prefer-outside", wish, limit,
                          "part of what is preferred is not allowed");
        if (note) note->allowed = reading_print(arena, limit->field, allowed, NULL);
    }
}

static void check_field(const Contradicting *at, const Clause *limit)
{
    const Field *field = limit->field;
    if (!role_judges(field->role) || field->role == ROLE_DUTY || !limit->reading) return;
    const Reading *allowed = (field->flags & FIELD_REPEATS)
                                 ? block_reading(at->lint->nursery->arena, at->block, field)
                                 : limit->reading;
    if (!allowed) return;
    allowed = without_never(at, limit, allowed);
    const Clause *wish = block_with(at->block, field, STRENGTH_PREFER);
    if (allowed && wish && wish->reading) check_wish(at, limit, wish, allowed);
}

static void check_block(Lint *lint, const Protocol *protocol, const Block *block)
{
    Contradicting at = {lint, block, protocol};
    for (const Clause *clause = block->clauses; clause; clause = clause->next)
        if (block_limit(block, clause->field) == clause) check_field(&at, clause);
    for (const Block *child = block->blocks; child; child = child->next)
        if (!child->latent && child->type->kind != BLOCK_TASK) check_block(lint, protocol, child);
}

void contradict(Lint *lint, const Protocol *protocol)
{
    check_block(lint, protocol, protocol->effective);
}
