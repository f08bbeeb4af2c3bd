/* Reading and writing files with care. */
#ifndef CMD_FILES_H
#define CMD_FILES_H

#include "base/arena.h"
#include "base/note.h"

#include <stdbool.h>
#include <sys/types.h>

/* Opens for reading. Only a regular file will do: a pipe would wait for ever and a device never end. -1: *why
 * says what is wrong. */
int file_open(const char *path, const char **why);
/* Opens `path`, which a file of the nursery names, from the nursery's folder. No part of it may be "..",
 * absolute or a symbolic link. */
int file_open_inside(int folder, const char *path, bool *is_folder, const char **why);
/* Everything a descriptor gives, up to `limit` bytes, with a NUL behind it. NULL: *why says what is wrong. */
char *file_read(Arena *arena, int descriptor, size_t limit, size_t *length, const char **why);

bool file_is_link(const char *path);

/* Waits until the disk has a file, or the folder in which a path lies. False: errno says why it may not. */
bool file_sync(int descriptor);
bool file_sync_folder(const char *path);

/* A file that is written whole or not at all: bytes go to a file beside it, which takes its place at the end.
 */
typedef struct Replacement {
    int descriptor;
    const char *path, *beside;
} Replacement;
bool replacement_begin(Arena *arena, Replacement *replacement, const char *path, const char **why);
bool replacement_end(Replacement *replacement, const char **why); /* on false the old file stands */
void replacement_give_up(Replacement *replacement);

#endif
