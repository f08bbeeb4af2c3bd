/* Files to begin with: a nursery that checks clean, each line explained.
 *
 * They are real files, protocols/start, built into the program (protocols/embed_start.sh). Names in them that
 * begin with `your-` are there to be replaced.
 */
#ifndef WRITE_START_H
#define WRITE_START_H

#include "base/slice.h"

struct StartFile {
    const char *path; /* in the nursery's folder: "protocols/your-shrub.heel" */
    Slice text;
};

extern const struct StartFile start_files[]; /* sorted by path */
extern const size_t start_file_count;

/* What can be begun. */
typedef struct StartKind {
    const char *word;        /* "protocol": a kind of block */
    const char *path;        /* the file it stands in */
    const char *placeholder; /* "your-shrub": its name there */
} StartKind;
extern const StartKind start_kinds[];
extern const size_t start_kind_count;

const StartKind *start_kind_find(Slice word); /* NULL */
/* A text of the files with one name in the place of another, wherever it stands as a whole word. */
Slice start_text(Arena *arena, Slice text, const char *placeholder, const char *name);
/* The text of the file that a kind stands in. */
Slice start_file_text(const char *path);

/* Whether a name will do: the text with it reads without fault, and the block is called so. */
bool start_name_fits(Arena *arena, const StartKind *kind, const char *name);

#endif
