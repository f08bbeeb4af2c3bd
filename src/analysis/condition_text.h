/* Conditions in normal text: equal for what is asked alike, however it was spelled. Private to src/analysis.
 */
#ifndef ANALYSIS_CONDITION_TEXT_H
#define ANALYSIS_CONDITION_TEXT_H

#include "model/rule.h"

/* The value that an atom asks about, without what it asks of it: one name for `depth > 3 cm` and `30 mm >=
 * depth`. *mirrored: of two values that are compared the second is written first. */
Name atom_value(Arena *passing, Names *names, const Code *atom, bool *mirrored);
/* The whole condition; "" for NULL. */
Slice condition_text(Arena *passing, const Code *code);

#endif
