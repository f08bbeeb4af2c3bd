/* The files that are built into the program: the trade rules of protocols/rules, the glossaries of
 * protocols/words.
 *
 * The table is generated from those files when the program is built (protocols/embed.c), so that a rule is
 * added by adding a file. The blocks are what the reader of any other file made of the bytes, without the
 * examples of rules, and the rules among them are compiled; the bytes are there for findings to quote.
 */
#ifndef MODEL_BUILTIN_H
#define MODEL_BUILTIN_H

#include "base/text.h"

struct BuiltinFile {
    Text text;          /* called "rules/water.heel" */
    const char *blocks; /* packed (model/shipped.h) */
};

extern const struct BuiltinFile builtin_files[]; /* sorted by name */
extern const unsigned builtin_file_count;        /* may be 0 */

#endif
