/* Folders and the names of files: see folder.h. */
#include "cmd/folder.h"

#include "base/vec.h"
#include "cmd/files.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

bool path_is_folder(const char *path)
{
    struct stat status;
    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

bool path_ends_with(const char *path, const char *ending)
{
    size_t length = strlen(path), tail = strlen(ending);
    return length >= tail && !strcmp(path + length - tail, ending);
}

const char *path_in(Arena *arena, const char *folder, const char *name)
{
    if (!strcmp(folder, ".")) return name;
    return arena_print(arena, path_ends_with(folder, "/") ? "%s%s" : "%s/%s", folder, name);
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static const char **entries_of(Arena *arena, int folder, size_t *count)
{
    VEC(const char *) names = {0};
    DIR *listing = fdopendir(dup(folder));
    for (struct dirent *entry; listing && (entry = readdir(listing));)
        if (entry->d_name[0] != '.')
            VEC_PUSH(arena, &names, arena_copy(arena, entry->d_name, strlen(entry->d_name)));
    if (listing) closedir(listing);
    if (names.count) qsort(names.at, names.count, sizeof *names.at, by_text);
    *count = names.count;
    return names.at;
}

typedef struct Walk {
    Arena *arena;
    FolderFile *found;
    void *to;
} Walk;

static void walk(const Walk *how, const char *name, int folder, int depth)
{
    size_t count;
    const char **entries = entries_of(how->arena, folder, &count);
    for (size_t i = 0; i < count; i++) {
        struct stat status;
        if (fstatat(folder, entries[i], &status, AT_SYMLINK_NOFOLLOW) < 0) continue;
        const char *path = path_in(how->arena, name, entries[i]), *why;
        bool is_folder;
        if (S_ISDIR(status.st_mode) && depth < FOLDER_DEPTH) {
            int inner = file_open_inside(folder, entries[i], &is_folder, &why);
            if (inner >= 0) walk(how, path, inner, depth + 1);
        } else if (S_ISREG(status.st_mode) && path_ends_with(entries[i], ".heel")) {
            int file = file_open_inside(folder, entries[i], &is_folder, &why);
            how->found(how->to, path, file, why);
        }
    }
    close(folder);
}

void folder_walk(Arena *arena, const char *name, int folder, FolderFile *found, void *to)
{
    walk(&(Walk){arena, found, to}, name, folder, 0);
}
