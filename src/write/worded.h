/* The program's own words on sheets, in other languages.
 *
 * A word or sentence stands in the source in English, as worded(catalogue, "…"), and its translations in
 * protocols/words, a PO file of GNU gettext for each language. They are compiled by msgfmt when the program
 * is built and carried in it, so that it needs no file and no locale when it runs; the answer is looked up in
 * the compiled catalogue as libintl would. tests/words.sh fails where a translation is missing or in doubt.
 */
#ifndef WRITE_WORDED_H
#define WRITE_WORDED_H

#include "base/buffer.h"

/* A catalogue as msgfmt writes it: the format is described in the manual of GNU gettext, "The Format of GNU
 * MO Files". Numbers in it are little endian (protocols/embed_words.sh). */
typedef struct Catalogue {
    const char *language; /* "es" */
    const char *bytes;
} Catalogue;

extern const Catalogue catalogues[]; /* generated */
extern const size_t catalogue_count;

const Catalogue *catalogue_of(Slice language); /* NULL: there is none, and English stays English */

/* What stands for a text in a catalogue; the text itself without one. Formats keep what they ask for, which
 * msgfmt --check sees to. */
const char *worded(const Catalogue *catalogue, const char *text) __attribute__((format_arg(2)));
/* The same for one of something and for several. Catalogues with another rule than "one, or more" are refused
 * when the program is built. */
const char *worded_count(const Catalogue *catalogue, const char *one, const char *several, uint64_t count)
    __attribute__((format_arg(2), format_arg(3)));
/* Marks a text of a table, that is looked up later, for the tools of gettext. */
#define WORDED(text) text

#endif
