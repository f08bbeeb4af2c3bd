/* Merging, silencing and noting faults. */
#include "analysis/faults.h"

#include "base/vec.h"

#include <stdlib.h>
#include <string.h>

typedef struct Told {
    const char *name;
    Span place;
} Told;

struct Faults {
    Nursery *nursery;
    Summary *summary;
    VEC(Fault) list;
    VEC(const Clause *) used;    /* accepts that silenced something */
    VEC(const Clause *) refused; /* accepts of what cannot be accepted: reported once */
    VEC(Told) told;
};

Faults *faults_new(Nursery *nursery, Summary *summary)
{
    Faults *faults = ARENA_NEW(nursery->arena, Faults);
    faults->nursery = nursery;
    faults->summary = summary;
    return faults;
}

Fault *faults_add(Faults *faults)
{
    Fault *fault = VEC_ADD(faults->nursery->arena, &faults->list);
    *fault = (Fault){0};
    return fault;
}

Severity severity_below(Severity severity)
{
    return severity > SEVERITY_NOTE ? (Severity)(severity - 1) : SEVERITY_OFF;
}

/* ------------------------------------------------------------------ silencing */

static bool listed(const Clause *const *list, size_t count, const Clause *clause)
{
    for (size_t i = 0; i < count; i++)
        if (list[i] == clause) return true;
    return false;
}

static bool names_fault(const Nursery *nursery, const Clause *accept, const Fault *fault)
{
    Slice name = name_slice(accept->reading->words[0].name);
    if (slice_is(name, fault->name)) return true;
    const Block *rule = NULL;
    Name of = names_find(nursery->names, slice_of(fault->name));
    if (of) rule = nursery_find(nursery, BLOCK_RULE, of);
    return rule && block_has_been(rule, name);
}

static const Clause *accept_of(const Nursery *nursery, const Fault *fault)
{
    for (const Clause *clause = fault->accepts ? fault->accepts->clauses : NULL; clause;
         clause = clause->next)
        if (clause->field->type == TYPE_ACCEPT && clause->reading && clause->item->because.length &&
            names_fault(nursery, clause, fault))
            return clause;
    return NULL;
}

static void use_accept(Faults *faults, const Clause *accept)
{
    if (!listed(faults->used.at, faults->used.count, accept))
        VEC_PUSH(faults->nursery->arena, &faults->used, accept);
}

bool faults_silenced(Faults *faults, const Block *accepts, const char *name)
{
    Fault fault = {.name = name, .accepts = accepts};
    const Clause *accept = accept_of(faults->nursery, &fault);
    if (!accept) return false;
    use_accept(faults, accept);
    faults->summary->accepted++;
    return true;
}

static bool is_accepted(Faults *faults, const Fault *fault)
{
    const Clause *accept = accept_of(faults->nursery, fault);
    if (!accept) return false;
    use_accept(faults, accept);
    if (!fault->unsilenced) {
        faults->summary->accepted++;
        return true;
    }
    if (listed(faults->refused.at, faults->refused.count, accept)) return false;
    VEC_PUSH(faults->nursery->arena, &faults->refused, accept);
    Note *note = notes_add(faults->nursery->notes, SEVERITY_ERROR, "accept", accept->item->span,
                           "%s cannot be accepted away", fault->name);
    note->subject = fault->accepts->id; /* what the fault says lives only until it is noted */
    return false;
}

static bool is_judged_off(Faults *faults, Fault *fault)
{
    Severity judged = nursery_judged(faults->nursery, fault->name, fault->severity);
    if (judged == SEVERITY_OFF) {
        faults->summary->judged_off++;
        return true;
    }
    if (!fault->as_note) fault->severity = judged;
    return false;
}

/* ------------------------------------------------------------------ noting */

static int in_order(const void *a, const void *b)
{
    const Fault *x = a, *y = b;
    if (x->row != y->row) return x->row < y->row ? -1 : 1;
    if (x->field != y->field)
        return !x->field ? 1 : !y->field ? -1 : x->field->number < y->field->number ? -1 : 1;
    if (x->rank != y->rank) return x->rank < y->rank ? -1 : 1;
    if (x->severity != y->severity) return x->severity > y->severity ? -1 : 1;
    return strcmp(x->name, y->name);
}

static const char *text_of(Arena *arena, Slice slice)
{
    return slice.at ? arena_copy(arena, slice.at, slice.length) : NULL;
}

/* What a fault says lives only until it is noted. */
static const char *kept(Arena *arena, const char *text)
{
    return text ? arena_copy(arena, text, strlen(text)) : NULL;
}

static void note_fault(Faults *faults, const Fault *fault, Severity severity, const char *also)
{
    Nursery *nursery = faults->nursery;
    Note *note = notes_add(nursery->notes, severity, fault->name, fault->place, "%s", fault->message);
    if (notes_full(nursery->notes)) return;
    note->subject = fault->subject ? kept(nursery->arena, fault->subject) : "";
    note->field = fault->field ? fault->field->spelling : "";
    note->value = fault->value ? kept(nursery->arena, fault->value) : "";
    note->found = kept(nursery->arena, fault->found);
    note->allowed = kept(nursery->arena, fault->allowed);
    note->cite = nursery_cite(nursery, nursery->arena, fault->citations);
    note->because = text_of(nursery->arena, fault->because);
    note->instead = text_of(nursery->arena, fault->instead);
    note->also = also;
    if (fault->second.text) note_place(note, fault->second, fault->second_label);
    if (fault->third.text) note_place(note, fault->third, fault->third_label);
}

static bool is_told(const char *also, const char *name)
{
    size_t length = strlen(name);
    for (const char *at = also; at && (at = strstr(at, name)); at += length)
        if ((at == also || at[-1] == ' ') && (at[length] == '\0' || at[length] == ',')) return true;
    return false;
}

static bool was_told(Faults *faults, const Fault *fault)
{
    if (!fault->once) return false;
    for (size_t i = 0; i < faults->told.count; i++) {
        const Told *told = &faults->told.at[i];
        if (told->name == fault->name && told->place.text == fault->place.text &&
            told->place.begin == fault->place.begin)
            return true;
    }
    VEC_PUSH(faults->nursery->arena, &faults->told, ((Told){fault->name, fault->place}));
    return false;
}

/* The faults [from, to) point at one value: the first that is left leads; if it knows no remedy, one of the
 * others does. */
static void note_group(Faults *faults, size_t from, size_t to)
{
    Fault *leader = NULL;
    Slice remedy = {0};
    const char *also = NULL;
    Severity severity = SEVERITY_OFF;
    for (size_t i = from; i < to; i++) {
        Fault *fault = &faults->list.at[i];
        if (is_accepted(faults, fault) || is_judged_off(faults, fault)) continue;
        if (fault->rank == RANK_PREFER && leader && leader->rank < RANK_PREFER)
            continue; /* the wider limit is broken too */
        if (fault->severity > severity) severity = fault->severity;
        if (!remedy.length) remedy = fault->instead;
        if (!leader) {
            leader = fault;
        } else if (strcmp(leader->name, fault->name) != 0 && !is_told(also, fault->name)) {
            also = also ? arena_print(faults->nursery->arena, "%s, %s", also, fault->name)
                        : kept(faults->nursery->arena, fault->name);
        }
    }
    if (!leader || was_told(faults, leader)) return;
    leader->instead = remedy;
    note_fault(faults, leader, severity, also);
}

void faults_flush(Faults *faults)
{
    size_t count = faults->list.count;
    if (!count) return;
    qsort(faults->list.at, count, sizeof *faults->list.at, in_order);
    for (size_t from = 0, to; from < count; from = to) {
        const Fault *first = &faults->list.at[from];
        for (to = from + 1; to < count && first->field && faults->list.at[to].row == first->row &&
                            faults->list.at[to].field == first->field;
             to++) {
        }
        note_group(faults, from, to);
    }
    faults->list.count = 0;
}

/* ------------------------------------------------------------------ what was for nothing */

static void report_idle(Faults *faults, const Block *block)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        if (clause->field->type != TYPE_ACCEPT || !clause->reading || !clause->item->because.length) continue;
        if (listed(faults->used.at, faults->used.count, clause)) continue;
        if (!nursery_knows_finding(faults->nursery, name_slice(clause->reading->words[0].name)))
            continue; /* reported */
        Note *note = notes_add(faults->nursery->notes, SEVERITY_NOTE, "idle-accept", clause->item->span,
                               "accept %s silences nothing here", clause->reading->words[0].name->text);
        note->subject = block->id;
        note->instead = "take it out when the season is over";
    }
}

void faults_finish(Faults *faults)
{
    static const BlockKind kinds[] = {BLOCK_BATCH, BLOCK_PROTOCOL, BLOCK_PLACE};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        for (size_t k = 0; k < faults->nursery->lists[kinds[i]].count; k++)
            report_idle(faults, faults->nursery->lists[kinds[i]].at[k]);
}
