/* Folders and the names of files. */
#ifndef CMD_FOLDER_H
#define CMD_FOLDER_H

#include "base/arena.h"

#include <stdbool.h>

enum { FOLDER_DEPTH = 16 };

/* A file that was found: its descriptor is taken over; -1: `why` says why it, or a folder, cannot be read. */
typedef void FolderFile(void *to, const char *path, int file, const char *why);

/* Finds every file of the language in a folder and in the folders below it, by name. What is hidden is passed
 * over, and so are links. Takes over the descriptor. */
void folder_walk(Arena *arena, const char *name, int folder, FolderFile *found, void *to);

bool path_is_folder(const char *path); /* a link that leads to one is one */
const char *path_in(Arena *arena, const char *folder, const char *name);
bool path_ends_with(const char *path, const char *ending);

#endif
