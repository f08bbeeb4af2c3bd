/* Findings that a nursery has looked at and lives with for now: kept in a file, and not told again until they
 * change.
 *
 * An entry is a finding's key (base/note.h): name, subject, field and exact value, with a tab between them.
 * Never a line number, never a file: moved blocks and respelt units keep an entry, another value loses it.
 */
#ifndef ANALYSIS_BASELINE_H
#define ANALYSIS_BASELINE_H

#include "base/buffer.h"
#include "base/note.h"

/* Takes the findings out of the queue that the text of a baseline lists; an entry that no finding answers is
 * a warning `stale-baseline` at its line, a line that is no entry an error that keeps the job from being
 * done. What could not be read at all (fatal, or a fault of syntax) cannot be listed away. Gives the number
 * of findings taken out. */
size_t baseline_apply(Notes *notes, const Text *baseline);
/* Writes the entries of all findings that can be listed, each once, in the order of their keys. */
void baseline_write(Notes *notes, Buffer *out);

#endif
