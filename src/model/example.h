/* Examples of what the language knows, from grammar/examples.def and grammar/findings.def: for each name one
 * text that is in order and one that is not.
 *
 * What an example shows stands by itself for a reader; `before` and `behind` are what makes a whole file of
 * it.
 */
#ifndef MODEL_EXAMPLE_H
#define MODEL_EXAMPLE_H

#include "model/finding.h"
#include "model/record.h"

typedef struct Example {
    const char *before;     /* not shown: things that it mentions, the block it stands in */
    const char *good, *bad; /* NULL: there is none */
    const char *behind;
} Example;

Example example_of_finding(Arena *arena, const FindingInfo *finding);
Example example_of_block(Arena *arena, BlockKind kind);
Example example_of_field(Arena *arena, const Field *field);
Example example_of_word(Arena *arena, const Field *field, Slice word);
Example example_of_unit(Arena *arena, const Unit *unit);
Example example_of_verb(Arena *arena, Verb verb);
Example example_of_derived(Arena *arena, Derived derived);

/* One of the two texts with all that stands around it: a whole file. */
const char *example_whole(Arena *arena, const Example *example, const char *text);

/* What a word of a field's list means; NULL where that is plain from the field. */
const char *word_help(const Field *field, Slice word);

/* Whether the words of a field's row are what people write in its value, and not how it is read. */
bool field_lists_words(const Field *field);

#endif
