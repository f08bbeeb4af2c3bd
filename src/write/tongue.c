/* Choosing the language of a sheet, and turning what the language of the cards says into it word by word.
 *
 * Figures, units and names stay as they are: only words that a glossary or the program knows are replaced, so
 * that nothing is lost that nobody translated. Whole texts are the glossaries' matter (model/glossary.h).
 */
#include "write/tongue.h"

enum { PHRASE_WORDS = 3, PHRASE_ROOM = 64 }; /* "at least", "of a sample" */

/* Words of dates and conditions that no glossary need hold, as they are the program's own. "in" is none of
 * them: it may be the inch. */
static const char *const own_words[] = {
    WORDED("Mon"), WORDED("Tue"), WORDED("Wed"), WORDED("Thu"), WORDED("Fri"), WORDED("Sat"),
    WORDED("Sun"), WORDED("Jan"), WORDED("Feb"), WORDED("Mar"), WORDED("Apr"), WORDED("May"),
    WORDED("Jun"), WORDED("Jul"), WORDED("Aug"), WORDED("Sep"), WORDED("Oct"), WORDED("Nov"),
    WORDED("Dec"), WORDED("and"), WORDED("or"),  WORDED("not"), WORDED("is"),  WORDED("never"),
};

/* ------------------------------------------------------------------ which language */

static Slice language_of_sheets(const Nursery *nursery, size_t n)
{
    const Clause *sheets = nursery->self ? block_clause(nursery->self, FIELD_ROW(SHEETS)) : NULL;
    return sheets && sheets->reading && sheets->reading->word_count > n
               ? name_slice(sheets->reading->words[n].name)
               : (Slice){0};
}

static Tongue tongue_make(const SheetOptions *options, Slice language, bool leads)
{
    Tongue tongue = {.leads = leads};
    bool own = slice_equal(language, language_of_sheets(options->nursery, 0));
    if (!language.length || own) return (Tongue){0};
    tongue.language = language;
    tongue.glossary = glossary_of(options->nursery, language);
    tongue.catalogue = leads ? catalogue_of(language) : NULL;
    return tongue;
}

Tongue tongue_asked(const SheetOptions *options)
{
    return tongue_make(options, options->language, true);
}

Tongue tongue_of_sheets(const SheetOptions *options)
{
    if (options->language.length) return tongue_asked(options);
    return tongue_make(options, language_of_sheets(options->nursery, 1), false);
}

/* ------------------------------------------------------------------ texts, words and names */

Slice tongue_text(const Tongue *tongue, Slice own)
{
    return tongue->glossary ? glossary_find(tongue->glossary, FORM_TEXT, own) : (Slice){0};
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static size_t word_end(Slice text, size_t at)
{
    while (at < text.length && (is_letter(text.at[at]) || (text.at[at] >= '0' && text.at[at] <= '9') ||
                                text.at[at] == '-' || text.at[at] == '_'))
        at++;
    return at;
}

/* The most words from `at` on that a glossary has, joined by hyphens as it writes them: "at-least". Where
 * they end, and what they are; *end is `at` where it has none. */
static Slice longest_phrase(const Tongue *tongue, Slice text, size_t at, size_t *end)
{
    char joined[PHRASE_ROOM];
    size_t length = 0, stop = at;
    Slice best = {0};
    *end = at;
    for (int words = 0; words < PHRASE_WORDS; words++) {
        size_t next = word_end(text, stop);
        if (next == stop || length + next - stop + 1 >= PHRASE_ROOM) break;
        if (words) joined[length++] = '-';
        for (; stop < next; stop++) joined[length++] = text.at[stop];
        Slice found = glossary_find(tongue->glossary, FORM_WORD, (Slice){joined, length});
        if (found.length) {
            best = found;
            *end = next;
        }
        if (next + 1 >= text.length || text.at[next] != ' ' || !is_letter(text.at[next + 1])) break;
        stop = next + 1;
    }
    return best;
}

static Slice own_word(const Tongue *tongue, Slice word)
{
    for (size_t i = 0; i < sizeof own_words / sizeof *own_words; i++)
        if (slice_is(word, own_words[i])) return slice_of(worded(tongue->catalogue, own_words[i]));
    return word;
}

void write_by_words(Buffer *out, const Tongue *tongue, Slice text)
{
    for (size_t at = 0; at < text.length && tongue->leads;) {
        size_t end = at;
        if (!is_letter(text.at[at])) {
            while (end < text.length && !is_letter(text.at[end])) end++;
            buffer_escaped(out, (Slice){text.at + at, end - at});
        } else {
            Slice found = longest_phrase(tongue, text, at, &end);
            if (end == at) {
                end = word_end(text, at);
                found = own_word(tongue, (Slice){text.at + at, end - at});
            }
            buffer_escaped(out, found);
        }
        at = end;
    }
    if (!tongue->leads) buffer_escaped(out, text);
}

void write_named(Buffer *out, const Tongue *tongue, const char *name, GlossaryForm form)
{
    Slice found = {0};
    if (tongue->leads) found = glossary_find(tongue->glossary, form, slice_of(name));
    if (tongue->leads && !found.length) found = glossary_find(tongue->glossary, FORM_WORD, slice_of(name));
    buffer_text(out, name);
    if (!found.length || slice_is(found, name)) return;
    buffer_text(out, " = ");
    buffer_escaped(out, found);
}

void write_tongue_day(Buffer *out, const Tongue *tongue, Day day)
{
    char text[DAY_TEXT];
    write_by_words(out, tongue, (Slice){text, day_write(text, day)});
}

void write_tongue_day_long(Buffer *out, const Tongue *tongue, Day day)
{
    char text[DAY_TEXT];
    write_by_words(out, tongue, (Slice){text, day_write_long(text, day)});
}
