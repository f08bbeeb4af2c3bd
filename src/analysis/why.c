/* The chain behind a field or a finding: see why.h. Dates have their own file, why_dates.c. */
#include "analysis/why_work.h"

#include "analysis/context.h"

#include <string.h>

/* ------------------------------------------------------------------ steps */

WhyStep *why_step(WhyMaking *making, unsigned depth, const char *text)
{
    WhyStep *step = VEC_ADD(making->arena, &making->steps);
    *step = (WhyStep){.depth = depth, .text = text, .owner = ""};
    return step;
}

void why_answer(WhyMaking *making, const char *title)
{
    if (!making->steps.count) return;
    VEC_PUSH(making->arena, &making->answers, ((WhyAnswer){title, making->steps.at, making->steps.count}));
    memset(&making->steps, 0, sizeof making->steps);
}

/* ------------------------------------------------------------------ whose a clause is */

static const char *owner_of(WhyMaking *making, const Clause *clause)
{
    const Block *home = clause->home, *top = home ? nursery_top_of(making->subject->nursery, home) : NULL;
    if (!home) return "";
    const char *slash = strchr(home->id, '/');
    const char *kind = top ? top->type->spelling : home->type->spelling;
    if (top && top->type->kind == BLOCK_PROTOCOL && making->subject->protocol &&
        top != making->subject->protocol->written)
        kind = "base";
    const char *name =
        slash ? arena_print(making->arena, "%.*s", (int)(slash - home->id), home->id) : home->id;
    return slash ? arena_print(making->arena, "%s %s, %s", kind, name, slash + 1)
                 : arena_print(making->arena, "%s %s", kind, name);
}

/* ------------------------------------------------------------------ clauses */

static const char *clause_text(WhyMaking *making, const Clause *clause)
{
    static const char *const strengths[] = {[STRENGTH_PLAIN] = "",
                                            [STRENGTH_MUST] = "must ",
                                            [STRENGTH_PREFER] = "prefer ",
                                            [STRENGTH_NEVER] = "never "};
    const char *value = clause->reading ? reading_print(making->arena, clause->field, clause->reading, NULL)
                                        : "(cannot be read)";
    return arena_print(making->arena, "%s%s %s", strengths[clause->strength], clause->field->spelling, value);
}

static void step_of_clause(WhyMaking *making, unsigned depth, const char *before, const Clause *clause)
{
    WhyStep *step =
        why_step(making, depth, arena_print(making->arena, "%s%s", before, clause_text(making, clause)));
    step->owner = owner_of(making, clause);
    step->item = clause->item;
    step->place = clause_place(clause);
}

/* The clause as it was written may be milder than what it became by what it stands over. */
void why_clause(WhyMaking *making, unsigned depth, const Clause *clause)
{
    step_of_clause(making, depth, "", clause);
    if (clause->agreed) step_of_clause(making, depth + 1, "together with ", clause->agreed);
    for (const Clause *below = clause->replaced; below; below = below->replaced)
        step_of_clause(making, ++depth, "stands over ", below);
}

/* ------------------------------------------------------------------ a field */

static void states(WhyMaking *making, const Block *block, const Field *field)
{
    const Clause *clause =
        block && field_stands_in(field, block->type->kind) ? block_clause(block, field) : NULL;
    if (!clause || !clause->reading) return;
    WhyStep *step = why_step(making, 0,
                             arena_print(making->arena, "%s %s states %s", block->type->spelling, block->id,
                                         clause_text(making, clause)));
    step->item = clause->item;
    step->place = clause_place(clause);
}

/* What the batch says, and what is said of the things it refers to. */
static void statements(WhyMaking *making, Slice spelling)
{
    const WhySubject *subject = making->subject;
    FactSource source = {subject->nursery, subject->nursery->arena, subject->nursery->arena, NULL, false};
    for (const Field *field = field_find_from(spelling, NULL); field && subject->plan;
         field = field_find_from(spelling, field)) {
        if (!field_stands_in(field, BLOCK_BATCH)) continue;
        const Reading *cell = plan_cell(subject->plan, subject->row, field);
        if (!cell) continue;
        const Block *block = subject->plan->blocks ? subject->plan->blocks[subject->row] : NULL;
        const Clause *clause = block ? block_clause(block, field) : NULL;
        WhyStep *step =
            why_step(making, 0,
                     cell == &reading_spoiled
                         ? "the batch's value cannot be read"
                         : arena_print(making->arena, "%s states %s %s", making->id, field->spelling,
                                       reading_print(making->arena, field, cell, NULL)));
        step->place = plan_place(subject->plan, subject->row, field);
        step->item = clause ? clause->item : NULL;
    }
    const Context *context =
        subject->plan ? contexts_of_row(contexts_new(&source), subject->plan, subject->row) : NULL;
    if (!context) return;
    const Block *blocks[] = {context->container, context->place, context->site, context->variety};
    for (const Field *field = field_find_from(spelling, NULL); field;
         field = field_find_from(spelling, field)) {
        for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) states(making, blocks[i], field);
        for (size_t i = 0; i < CONTEXT_SPECIES && context->species[i]; i++)
            states(making, context->species[i], field);
    }
}

static void clauses_in(WhyMaking *making, const Block *block, Slice path, Slice spelling)
{
    const char *slash = strchr(block->id, '/');
    bool here = !path.length || (slash && slice_is(path, slash + 1));
    for (const Clause *clause = here ? block->clauses : NULL; clause; clause = clause->next)
        if (slice_is(spelling, clause->field->spelling)) why_clause(making, 0, clause);
    for (const Block *child = block->blocks; child; child = child->next)
        if (!child->latent) clauses_in(making, child, path, spelling);
}

/* What the protocol took away of what it inherited. */
static void drops_in(WhyMaking *making, const Block *block, Slice spelling)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(DROP) || !clause->reading || !clause->reading->word_count) continue;
        if (slice_equal(name_slice(clause->reading->words[0].name), spelling))
            step_of_clause(making, 0, "", clause);
    }
    for (const Block *child = block->blocks; child; child = child->next) drops_in(making, child, spelling);
}

static bool reads(const Rule *rule, const Field *field)
{
    for (int scope = 0; scope < SCOPES; scope++)
        if (rule->bodies[scope] && fieldset_has(&rule->bodies[scope]->reads, field)) return true;
    return false;
}

static void asking_rules(WhyMaking *making, Slice spelling)
{
    const char *names = NULL;
    const Nursery *nursery = making->subject->nursery;
    for (size_t i = 0; i < nursery->rule_count; i++)
        for (const Field *field = field_find_from(spelling, NULL); field;
             field = field_find_from(spelling, field)) {
            if (!reads(&nursery->rules[i], field)) continue;
            const char *name = nursery->rules[i].name->text;
            names = names ? arena_print(making->arena, "%s, %s", names, name) : name;
            break;
        }
    if (names) why_step(making, 0, arena_print(making->arena, "rules that read it: %s", names));
}

static bool about_field(WhyMaking *making, Slice path, Slice name)
{
    if (!field_find_from(name, NULL)) return false;
    statements(making, name);
    size_t said = making->steps.count;
    const Protocol *protocol = making->subject->protocol;
    if (protocol && protocol->effective) clauses_in(making, protocol->effective, path, name);
    if (protocol) drops_in(making, protocol->written, name);
    if (!said && making->steps.count == 0) why_step(making, 0, "nobody states it and no clause limits it");
    asking_rules(making, name);
    why_answer(making, arena_print(making->arena, "%.*s of %s", SLICE_ARG(name), making->id));
    return true;
}

/* ------------------------------------------------------------------ a finding */

static const Rule *rule_called(const Nursery *nursery, Slice name)
{
    for (size_t i = 0; i < nursery->rule_count; i++)
        if (slice_equal(name_slice(nursery->rules[i].name), name)) return &nursery->rules[i];
    return NULL;
}

static bool is_about(const WhyMaking *making, const Note *note)
{
    const char *id = strchr(making->id, ' ') + 1, *subject = note->subject ? note->subject : "";
    size_t length = strlen(id);
    return !strncmp(subject, id, length) && (!subject[length] || subject[length] == '/');
}

static void step_of_note(WhyMaking *making, const Note *note)
{
    const char *text = arena_print(making->arena, "%s: %s", severity_name[note->severity], note->message);
    if (note->found && note->allowed && !strstr(note->message, note->allowed))
        text = arena_print(making->arena, "%s (found %s, allowed %s)", text, note->found, note->allowed);
    why_step(making, 0, text)->place = note->place[0].span;
    for (unsigned i = 1; i < note->places; i++)
        why_step(making, 1, note->place[i].label ? note->place[i].label : "here")->place =
            note->place[i].span;
}

static void step_of_rule(WhyMaking *making, const Rule *rule)
{
    const Clause *told = rule_message(making->subject->nursery, rule);
    Slice message = told && told->reading ? told->reading->text : SLICE("");
    WhyStep *step = why_step(
        making, 0, arena_print(making->arena, "rule %s: %.*s", rule->name->text, SLICE_ARG(message)));
    step->item = told ? told->item : NULL;
    step->place = rule->block->name_span;
    for (const Clause *clause = rule->block->clauses; clause; clause = clause->next)
        if (clause->field->type == TYPE_CONDITION && clause->reading)
            why_step(making, 1, clause_text(making, clause))->place = clause_place(clause);
}

static bool about_finding(WhyMaking *making, Slice name)
{
    const Nursery *nursery = making->subject->nursery;
    const Rule *rule = rule_called(nursery, name);
    size_t count;
    Note *const *notes = notes_sorted(nursery->notes, &count);
    for (size_t i = 0; i < count; i++)
        if (slice_is(name, notes[i]->name) && is_about(making, notes[i])) step_of_note(making, notes[i]);
    bool found = making->steps.count > 0;
    if (rule && !found) why_step(making, 0, "nothing is found by this name here");
    if (rule) step_of_rule(making, rule);
    why_answer(making, arena_print(making->arena, "finding %.*s at %s", SLICE_ARG(name), making->id));
    return found || rule;
}

/* ------------------------------------------------------------------ what was asked */

static void try_names_in(Nearest *nearest, const Block *block)
{
    for (const Block *child = block->blocks; child; child = child->next) {
        if (child->name) nearest_try(nearest, name_slice(child->name));
        try_names_in(nearest, child);
    }
}

static const char *nearest_to(const WhySubject *subject, Slice name)
{
    Nearest nearest;
    nearest_start(&nearest, name);
    for (size_t i = 0; i < field_count; i++) nearest_try(&nearest, slice_of(field_table[i].spelling));
    for (size_t i = 0; i < subject->nursery->rule_count; i++)
        nearest_try(&nearest, name_slice(subject->nursery->rules[i].name));
    if (subject->protocol && subject->protocol->effective)
        try_names_in(&nearest, subject->protocol->effective);
    return nearest_found(&nearest)
               ? arena_print(subject->nursery->arena, "did you mean %.*s?", SLICE_ARG(nearest.best))
               : NULL;
}

Why why_is(const WhySubject *subject, const char *what)
{
    WhyMaking making = {.subject = subject, .arena = subject->nursery->arena};
    const char *slash = strrchr(what, '/');
    Slice path = slash ? (Slice){what, (size_t)(slash - what)} : (Slice){"", 0},
          name = slice_of(slash ? slash + 1 : what);
    making.id = subject->plan
                    ? arena_print(making.arena, "batch %.*s", SLICE_ARG(subject->plan->ids[subject->row]))
                    : arena_print(making.arena, "protocol %s", subject->protocol->name->text);
    bool known = about_field(&making, path, name);
    known = why_dates(&making, path, name) || known;
    known = about_finding(&making, name) || known;
    return (Why){.answers = making.answers.at,
                 .count = making.answers.count,
                 .nearest = known ? NULL : nearest_to(subject, name)};
}
