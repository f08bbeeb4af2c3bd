/* Folders and the names of files: see folder.h. */
#include "cmd/folder.h"

#include "base/vec.h"
#include "cmd/job.h"

#include <dirent.h>
#include <errno.h>
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

/* The names in a folder that are not hidden, in order. False: errno says why they cannot be told. */
static bool list(Arena *arena, int folder, const char ***entries, size_t *count)
{
    VEC(const char *) names = {0};
    int again = fcntl(folder, F_DUPFD_CLOEXEC, 0);
    DIR *listing = again < 0 ? NULL : fdopendir(again);
    if (!listing) {
        int failure = errno;
        if (failure == ENOMEM) job_out_of_memory(0);
        if (again >= 0) close(again);
        errno = failure;
        return false;
    }
    for (struct dirent *entry; errno = 0, (entry = readdir(listing));)
        if (entry->d_name[0] != '.')
            VEC_PUSH(arena, &names, arena_copy(arena, entry->d_name, strlen(entry->d_name)));
    int failure = errno;
    closedir(listing);
    errno = failure;
    if (names.count) qsort(names.at, names.count, sizeof *names.at, by_text);
    *entries = names.at;
    *count = names.count;
    return !failure;
}

typedef struct Walk {
    Arena *arena;
    FolderFile *found;
    void *to;
} Walk;

static void walk(const Walk *how, const char *name, int folder, int depth)
{
    const char **entries;
    size_t count = 0;
    if (!list(how->arena, folder, &entries, &count)) how->found(how->to, name, -1, strerror(errno));
    for (size_t i = 0; i < count; i++) {
        struct stat status;
        if (fstatat(folder, entries[i], &status, AT_SYMLINK_NOFOLLOW) < 0) continue;
        const char *path = path_in(how->arena, name, entries[i]), *why;
        bool is_folder;
        if (S_ISDIR(status.st_mode) && depth < FOLDER_DEPTH) {
            int inner = file_open_inside(folder, entries[i], &is_folder, &why);
            if (inner < 0)
                how->found(how->to, path, -1, why);
            else
                walk(how, path, inner, depth + 1);
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
