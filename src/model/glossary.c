/* Glossaries as sorted lists, one for each form.
 *
 * Blocks that ship are opened here and not before: only who prints in another language, or asks whether one
 * could, pays for reading them. Which texts need a translation is the caller's question.
 */
#include "model/glossary.h"

#include "base/vec.h"

#include <stdlib.h>

static const FieldNumber field_of_form[GLOSSARY_FORMS] = {
    [FORM_WORD] = FIELD_NUMBER_WORD_OF_GLOSSARY,
    [FORM_PLURAL] = FIELD_NUMBER_PLURAL_OF_GLOSSARY,
    [FORM_SHORT] = FIELD_NUMBER_SHORT_OF_GLOSSARY,
    [FORM_TEXT] = FIELD_NUMBER_TEXT_OF_GLOSSARY,
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\n' || c == '\t' || c == '\r';
}

/* The next letter of a text in which any run of blanks is one blank; -1 at its end. */
static int next_letter(Slice text, size_t *at)
{
    if (*at >= text.length) return -1;
    if (!is_blank(text.at[*at])) return (unsigned char)text.at[(*at)++];
    while (*at < text.length && is_blank(text.at[*at])) ++*at;
    return *at < text.length ? ' ' : -1;
}

static int compare_texts(Slice a, Slice b)
{
    size_t i = 0, k = 0;
    while (i < a.length && is_blank(a.at[i])) i++;
    while (k < b.length && is_blank(b.at[k])) k++;
    for (;;) {
        int x = next_letter(a, &i), y = next_letter(b, &k);
        if (x != y || x < 0) return x < y ? -1 : x > y;
    }
}

static int in_order(const void *a, const void *b)
{
    const GlossaryEntry *x = a, *y = b;
    int order = compare_texts(x->from, y->from);
    if (order) return order;
    if (x->clause->home->built_in != y->clause->home->built_in) return x->clause->home->built_in ? 1 : -1;
    Span p = x->clause->item->span, q = y->clause->item->span;
    order = slice_compare(slice_of(p.text->name), slice_of(q.text->name));
    return order ? order : p.begin < q.begin ? -1 : p.begin > q.begin;
}

Name glossary_language(const Block *block)
{
    const Clause *into = block_clause(block, FIELD_ROW(INTO_OF_GLOSSARY));
    return into && into->reading && into->reading->word_count == 1 ? into->reading->words[0].name : NULL;
}

typedef VEC(GlossaryEntry) Entries;

static void take_entries(Arena *arena, const Block *block, GlossaryForm form, Entries *entries)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        const Reading *reading = clause->reading;
        if (clause->field->number != (uint16_t)field_of_form[form] || !reading) continue;
        Slice from = form == FORM_TEXT ? name_slice(reading->words[0].name) : name_slice(reading->language);
        Slice into = form == FORM_TEXT ? name_slice(reading->words[1].name) : reading->text;
        VEC_PUSH(arena, entries, ((GlossaryEntry){from, into, clause}));
    }
}

const Glossary *glossary_of(const Nursery *nursery, Slice language)
{
    Glossary *glossary = ARENA_NEW(nursery->arena, Glossary);
    Entries entries[GLOSSARY_FORMS] = {{0}};
    const BlockList *blocks = &nursery->lists[BLOCK_GLOSSARY];
    for (size_t i = 0; i < blocks->count; i++) {
        nursery_open(nursery, blocks->at[i]);
        Name into = glossary_language(blocks->at[i]);
        if (!into || !slice_equal(name_slice(into), language)) continue;
        for (int form = 0; form < GLOSSARY_FORMS; form++)
            take_entries(nursery->arena, blocks->at[i], (GlossaryForm)form, &entries[form]);
    }
    for (int form = 0; form < GLOSSARY_FORMS; form++) {
        glossary->lists[form] = (GlossaryList){entries[form].at, entries[form].count};
        if (entries[form].count)
            qsort(entries[form].at, entries[form].count, sizeof *entries[form].at, in_order);
    }
    return glossary;
}

const GlossaryEntry *glossary_entry(const Glossary *glossary, GlossaryForm form, Slice from)
{
    const GlossaryList *list = &glossary->lists[form];
    size_t low = 0, high = list->count; /* the first that is not before it */
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (compare_texts(list->at[middle].from, from) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low < list->count && !compare_texts(list->at[low].from, from) ? &list->at[low] : NULL;
}

Slice glossary_find(const Glossary *glossary, GlossaryForm form, Slice from)
{
    const GlossaryEntry *entry = glossary_entry(glossary, form, from);
    return entry ? entry->into : (Slice){0};
}

bool glossary_same(const GlossaryEntry *a, const GlossaryEntry *b)
{
    return !compare_texts(a->from, b->from);
}
