/* The language that sheets are written in beside, or instead of, the nursery's own. */
#ifndef WRITE_TONGUE_H
#define WRITE_TONGUE_H

#include "model/glossary.h"
#include "write/sheet.h"
#include "write/worded.h"

typedef struct Tongue {
    Slice language;             /* without bytes: the nursery's own alone */
    const Glossary *glossary;   /* of that language; NULL without one */
    const Catalogue *catalogue; /* the program's own words in it; NULL: English */
    bool leads; /* it was asked for: the sheet is in it, and the nursery's own text stands beside cautions and
                   where there is no translation */
} Tongue;

/* What was asked for; the nursery's own language is none. */
Tongue tongue_asked(const SheetOptions *options);
/* The same, or else the second language that the nursery prints its sheets in, which stands beside its own.
 */
Tongue tongue_of_sheets(const SheetOptions *options);

/* What the glossaries have for a text; without bytes: nothing. */
Slice tongue_text(const Tongue *tongue, Slice own);
/* Text of the language, as "depth at least 12 mm", word by word: what nobody translated stays as it is. */
void write_by_words(Buffer *out, const Tongue *tongue, Slice text);
/* A name of the nursery, and behind it what it is in a language that leads: "callus = callo". */
void write_named(Buffer *out, const Tongue *tongue, const char *name, GlossaryForm form);
void write_tongue_day(Buffer *out, const Tongue *tongue, Day day);      /* 18 Jun 2027 */
void write_tongue_day_long(Buffer *out, const Tongue *tongue, Day day); /* Fri 18 Jun 2027 */

#endif
