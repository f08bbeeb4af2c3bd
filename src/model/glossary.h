/* What is printed in another language for words and texts: the glossaries of the nursery and of the program.
 *
 * A glossary says what it translates, word by word and text by text. A text is found by what it says, but for
 * how many blanks part its words; a text that was changed since is not found, and is not translated. What the
 * house says goes before what ships.
 */
#ifndef MODEL_GLOSSARY_H
#define MODEL_GLOSSARY_H

#include "model/nursery.h"

typedef enum GlossaryForm { FORM_WORD, FORM_PLURAL, FORM_SHORT, FORM_TEXT, GLOSSARY_FORMS } GlossaryForm;

typedef struct GlossaryEntry {
    Slice from, into;
    const Clause *clause; /* its home is the glossary */
} GlossaryEntry;

typedef struct GlossaryList {
    GlossaryEntry *at; /* in the order of `from`; of two with one the house's first, then the first written */
    size_t count;
} GlossaryList;

typedef struct Glossary {
    GlossaryList lists[GLOSSARY_FORMS];
} Glossary;

/* All that translates into a language, in the nursery's arena. Never NULL; it may hold nothing. */
const Glossary *glossary_of(const Nursery *nursery, Slice language);
/* The first entry of a word or text; NULL without one. */
const GlossaryEntry *glossary_entry(const Glossary *glossary, GlossaryForm form, Slice from);
/* What is printed for it; without bytes if nothing is known. A word without a plural or short form has none.
 */
Slice glossary_find(const Glossary *glossary, GlossaryForm form, Slice from);
/* Two entries of one form say what is printed for one thing. */
bool glossary_same(const GlossaryEntry *a, const GlossaryEntry *b);
/* The language that a glossary block is in; NULL where it does not say. */
Name glossary_language(const Block *block);

#endif
