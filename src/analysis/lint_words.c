/* What sheets in a second language would lack: texts that nobody translated, and translations of a text that
 * reads otherwise now.
 *
 * Given the protocols, places and plants of a nursery that prints its sheets in several languages, and the
 * glossaries, makes a finding for each text without a translation, once for all protocols that inherit it. Of
 * a glossary of the house it tells as well what it translates and no sheet has, and what it says twice. A
 * nursery that prints in its own language alone is asked nothing.
 */
#include "analysis/lint_work.h"

#include "base/near.h"
#include "model/glossary.h"

/* A text that sheets print. */
typedef struct SheetText {
    const Clause *clause; /* the one that says it, or gives it as its reason */
    Slice text;
    Span place;
    const char *what;       /* "caution": what a message calls it */
    const Block *block;     /* in which it stands */
    const Block *accepts;   /* see Fault */
    const Clause *in_block; /* its translation beside it, in the language that is asked for; NULL */
} SheetText;

typedef struct Asking {
    Lint *lint;
    Slice language;
    const Glossary *glossary;
    VEC(SheetText) texts;
    VEC(const GlossaryEntry *) used; /* of the house, whose text some sheet has, or had */
} Asking;

/* ------------------------------------------------------------------ the texts of sheets */

static void take_text(Asking *asking, const SheetText *text)
{
    for (size_t i = 0; i < asking->texts.count; i++) {
        SheetText *known = &asking->texts.at[i];
        if (known->clause->item != text->clause->item || known->place.begin != text->place.begin) continue;
        if (!text->in_block) known->in_block = NULL; /* of two heirs one lacks it */
        return;
    }
    VEC_PUSH(asking->lint->source.passing, &asking->texts, *text);
}

/* What a block says to workers; all texts of `say` are one for a reader, cautions go one by one. */
static void take_spoken(Asking *asking, const Block *block, const Block *accepts, const Field *field,
                        const char *what)
{
    const Clause *own;
    for (size_t n = 0; (own = block_spoken(block, field, (Slice){0}, n)); n++) {
        SheetText text = {own, own->reading->text, clause_value_place(own), what, block, accepts, NULL};
        text.in_block = block_spoken(block, field, asking->language, field == FIELD_ROW(SAY) ? 0 : n);
        take_text(asking, &text);
        if (field != FIELD_ROW(SAY) || !own->item->because.length) continue;
        text = (SheetText){own, own->item->because, own->item->because_span, "reason", block, accepts, NULL};
        take_text(asking, &text);
    }
}

static void take_block(Asking *asking, const Block *block, const Block *accepts)
{
    take_spoken(asking, block, accepts, FIELD_ROW(SAY), "text");
    take_spoken(asking, block, accepts, FIELD_ROW(CAUTION), "caution");
    const Clause *sign = block_clause(block, FIELD_ROW(SIGN));
    if (sign && sign->reading && block->type->kind == BLOCK_TASK) {
        SheetText text = {sign, sign->reading->text, clause_value_place(sign), "sign", block, accepts, NULL};
        take_text(asking, &text);
    }
    for (const Block *child = block->blocks; child; child = child->next)
        if (!child->latent) take_block(asking, child, accepts);
}

static void take_texts(Asking *asking)
{
    static const BlockKind beside[] = {BLOCK_PLACE, BLOCK_VARIETY, BLOCK_SPECIES};
    const Nursery *nursery = asking->lint->nursery;
    for (size_t i = 0; i < nursery->protocol_count; i++) {
        const Protocol *protocol = &nursery->protocols[i];
        if (protocol->effective && !protocol->base)
            take_block(asking, protocol->effective, protocol->written);
    }
    for (size_t k = 0; k < sizeof beside / sizeof *beside; k++) {
        const BlockList *blocks = &nursery->lists[beside[k]];
        for (size_t i = 0; i < blocks->count; i++)
            if (!blocks->at[i]->built_in) take_block(asking, blocks->at[i], blocks->at[i]);
    }
}

/* ------------------------------------------------------------------ findings */

/* The entry whose text is nearly this one: two words of three are the same, in one order. */
static const GlossaryEntry *nearest_entry(const Asking *asking, Slice text)
{
    const GlossaryList *list = &asking->glossary->lists[FORM_TEXT];
    const GlossaryEntry *best = NULL;
    size_t most = 0;
    for (size_t i = 0; i < list->count; i++) {
        size_t longer, same = near_words(text, list->at[i].from, &longer);
        if (same * 3 < longer * 2 || same <= most) continue;
        most = same;
        best = &list->at[i];
    }
    return best;
}

static Fault *fault_at(Lint *lint, const char *name, const Block *block, Span place, const Block *accepts)
{
    Fault *fault = faults_add(lint->faults);
    fault->rank = RANK_RULE;
    fault->severity = SEVERITY_WARNING;
    fault->name = name;
    fault->subject = block->id;
    fault->value = "";
    fault->place = place;
    fault->accepts = accepts;
    lint->summary.broken++;
    return fault;
}

static const char *quoted(Arena *arena, Slice text)
{
    return arena_print(arena, "\"%.*s\"", SLICE_ARG(text));
}

static void tell_missing(Asking *asking, const SheetText *text, const GlossaryEntry *near)
{
    Lint *lint = asking->lint;
    Arena *arena = lint->source.passing;
    Fault *fault =
        fault_at(lint, near ? "stale-translation" : "untranslated", text->block, text->place, text->accepts);
    fault->value = arena_print(arena, "%.*s", SLICE_ARG(asking->language));
    if (near) {
        fault->message =
            arena_print(arena, "this %s reads otherwise than the text that was translated into %.*s",
                        text->what, SLICE_ARG(asking->language));
        fault->found = quoted(arena, text->text);
        fault->allowed = quoted(arena, near->from);
        fault->second = clause_value_place(near->clause);
        fault->second_label = "translated from";
        fault->instead = SLICE("translate it anew, and write the text of now before it");
        VEC_PUSH(arena, &asking->used, near);
    } else {
        fault->message = arena_print(arena, "this %s is on sheets, and nothing says it in %.*s", text->what,
                                     SLICE_ARG(asking->language));
        fault->instead =
            SLICE("add it to a glossary of the house: text \"as it is here\" \"as it is printed\"");
    }
    faults_flush(lint->faults);
}

static void judge_texts(Asking *asking)
{
    for (size_t i = 0; i < asking->texts.count; i++) {
        const SheetText *text = &asking->texts.at[i];
        const GlossaryEntry *entry = glossary_entry(asking->glossary, FORM_TEXT, text->text);
        if (entry) VEC_PUSH(asking->lint->source.passing, &asking->used, entry);
        if (entry || text->in_block)
            asking->lint->summary.held++;
        else
            tell_missing(asking, text, nearest_entry(asking, text->text));
    }
}

static bool is_used(const Asking *asking, const GlossaryEntry *entry)
{
    for (size_t i = 0; i < asking->used.count; i++)
        if (glossary_same(asking->used.at[i], entry)) return true;
    return false;
}

static void judge_entries(Asking *asking)
{
    const GlossaryList *list = &asking->glossary->lists[FORM_TEXT];
    for (size_t i = 0; i < list->count; i++) {
        const GlossaryEntry *entry = &list->at[i];
        if (entry->clause->home->built_in || is_used(asking, entry)) continue;
        Fault *fault = fault_at(asking->lint, "stale-translation", entry->clause->home,
                                clause_value_place(entry->clause), NULL);
        fault->message = "no sheet has this text";
        fault->instead = SLICE("write it as the protocol does, or take the line out");
        faults_flush(asking->lint->faults);
    }
}

/* ------------------------------------------------------------------ glossaries by themselves */

static void tell_twice(Lint *lint, const GlossaryEntry *first, const GlossaryEntry *second)
{
    Note *note = notes_add(lint->nursery->notes, SEVERITY_ERROR, "duplicate",
                           clause_value_place(second->clause), "one thing is translated twice");
    note->subject = second->clause->home->id;
    note_place(note, clause_value_place(first->clause), "the first stands here, and is printed");
}

/* The house's own stand before those that ship. */
static void check_twice(Lint *lint, const Glossary *glossary)
{
    for (int form = 0; form < GLOSSARY_FORMS; form++) {
        const GlossaryList *list = &glossary->lists[form];
        for (size_t i = 1; i < list->count; i++)
            if (!list->at[i].clause->home->built_in && glossary_same(&list->at[i - 1], &list->at[i]))
                tell_twice(lint, &list->at[i - 1], &list->at[i]);
    }
}

static void check_glossaries(Lint *lint)
{
    Nursery *nursery = lint->nursery;
    const BlockList *blocks = &nursery->lists[BLOCK_GLOSSARY];
    VEC(Name) seen = {0};
    for (size_t i = 0; i < blocks->count; i++) {
        if (blocks->at[i]->built_in) continue;
        Name into = glossary_language(blocks->at[i]);
        bool first = true;
        for (size_t k = 0; k < seen.count; k++) first = first && seen.at[k] != into;
        if (into && first) check_twice(lint, glossary_of(nursery, name_slice(into)));
        if (into && first) VEC_PUSH(nursery->arena, &seen, into);
        if (into || block_clause(blocks->at[i], FIELD_ROW(INTO_OF_GLOSSARY))) continue;
        Note *note = notes_add(nursery->notes, SEVERITY_ERROR, "value", blocks->at[i]->name_span,
                               "this glossary does not say what language it is in");
        note->subject = blocks->at[i]->id;
        note->instead = "add a line such as into es";
    }
}

void words_report(Lint *lint)
{
    const Clause *sheets = lint->nursery->self ? block_clause(lint->nursery->self, FIELD_ROW(SHEETS)) : NULL;
    size_t languages = sheets && sheets->reading ? sheets->reading->word_count : 0;
    check_glossaries(lint);
    for (size_t i = 1; i < languages; i++) {
        Slice language = name_slice(sheets->reading->words[i].name);
        Asking asking = {
            .lint = lint, .language = language, .glossary = glossary_of(lint->nursery, language)};
        take_texts(&asking);
        judge_texts(&asking);
        judge_entries(&asking);
    }
    arena_release(lint->source.passing, lint->passing);
}
