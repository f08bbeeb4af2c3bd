/* A piece of text that somebody else owns: a pointer and a length, no NUL promised.
 *
 * Names that are compared often are interned: two equal names of one table are one pointer.
 */
#ifndef BASE_SLICE_H
#define BASE_SLICE_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

typedef struct Slice {
    const char *at;
    size_t length;
} Slice;

#define SLICE(literal) ((Slice){(literal), sizeof(literal) - 1})
#define SLICE_ARG(slice) (int)(slice).length, (slice).at /* for "%.*s" */

Slice slice_of(const char *text); /* a NUL-terminated text; NULL gives the empty slice */
bool slice_equal(Slice a, Slice b);
bool slice_is_whole(Slice slice, const char *text); /* slice_is without a first look */
static inline bool slice_is(Slice slice, const char *text)
{
    return slice.length ? *slice.at == *text && slice_is_whole(slice, text) : !*text;
}
int slice_compare(Slice a, Slice b);    /* by bytes, shorter first */
bool slice_same_text(Slice a, Slice b); /* but for how many blanks part its words, and those around it */
bool slice_starts(Slice slice, const char *prefix);
uint64_t slice_hash(Slice slice);

/* An interned name. Compare with ==; the text is NUL-terminated. */
typedef const struct NameText {
    uint32_t length;
    uint32_t number; /* 0, 1, 2 … in order of first appearance in its table */
    uint64_t hash;
    char text[];
} * Name;

typedef struct Names Names; /* a table of names, living in an arena */
Names *names_new(Arena *arena);
Name names_intern(Names *names, Slice text);
Name names_find(const Names *names, Slice text); /* NULL if it was never interned */
static inline Slice name_slice(Name name)
{
    return name ? (Slice){name->text, name->length} : (Slice){"", 0};
}

#endif
