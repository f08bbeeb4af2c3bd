/* The system's files. Only regular files are read; only whole files are written. */
#include "cmd/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static int refuse(int descriptor, const char **why, const char *message)
{
    if (descriptor >= 0) close(descriptor);
    *why = message;
    return -1;
}

static int check_kind(int descriptor, bool *is_folder, const char **why)
{
    struct stat status;
    if (descriptor < 0) return refuse(descriptor, why, strerror(errno));
    if (fstat(descriptor, &status) < 0) return refuse(descriptor, why, strerror(errno));
    if (is_folder) *is_folder = S_ISDIR(status.st_mode);
    if (S_ISREG(status.st_mode) || (is_folder && *is_folder)) return descriptor;
    return refuse(descriptor, why,
                  S_ISDIR(status.st_mode) ? "it is a folder, not a file"
                                          : "it is neither a file nor a folder");
}

int file_open(const char *path, const char **why)
{
    return check_kind(open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY), NULL, why);
}

/* Why a step did not open. Of a link that should have been a folder the system only says that it is none. */
static const char *why_not_opened(int folder, const char *step, int failure)
{
    struct stat status;
    if (failure == ELOOP || failure == EMLINK) return "it is a symbolic link, and links are not followed";
    if (failure != ENOTDIR) return strerror(failure);
    bool link = fstatat(folder, step, &status, AT_SYMLINK_NOFOLLOW) == 0 && S_ISLNK(status.st_mode);
    return link ? "part of it is a symbolic link, and links are not followed" : "part of it is no folder";
}

/* Step by step, so that no step leaves the nursery's folder. */
int file_open_inside(int folder, const char *path, bool *is_folder, const char **why)
{
    if (*path == '/')
        return refuse(-1, why, "it begins at the root; name files from the nursery's own folder");
    int at = folder;
    while (true) {
        while (*path == '/') path++;
        const char *end = strchr(path, '/');
        size_t length = end ? (size_t)(end - path) : strlen(path);
        char step[256];
        if (length >= sizeof step) return refuse(at == folder ? -1 : at, why, "a name in it is too long");
        memcpy(step, path, length);
        step[length] = '\0';
        if (!strcmp(step, ".."))
            return refuse(at == folder ? -1 : at, why, "it leads out of the nursery's folder");
        bool last = !end || !end[strspn(end, "/")];
        int next =
            openat(at, length ? step : ".",
                   O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY | O_NOFOLLOW | (last ? 0 : O_DIRECTORY));
        if (next < 0) *why = why_not_opened(at, length ? step : ".", errno);
        if (at != folder) close(at);
        if (next < 0) return -1;
        if (last) return check_kind(next, is_folder, why);
        at = next;
        path = end;
    }
}

char *file_read(Arena *arena, int descriptor, size_t limit, size_t *length, const char **why)
{
    struct stat status;
    size_t room =
        fstat(descriptor, &status) == 0 && status.st_size > 0 ? (size_t)status.st_size + 1 : 1 << 16;
    if (room > limit) room = limit + 1;
    char *bytes = arena_alloc(arena, room + 1);
    *length = 0;
    while (true) {
        ssize_t count = read(descriptor, bytes + *length, room - *length);
        if (count < 0 && errno == EINTR) continue;
        if (count < 0) {
            *why = strerror(errno);
            return NULL;
        }
        *length += (size_t)count;
        if (count == 0) break;
        if (*length > limit) {
            *why = "it is larger than 16 MiB";
            return NULL;
        }
        if (*length < room) continue;
        size_t grown = room * 2 > limit ? limit + 1 : room * 2;
        if (grown == room) continue;
        char *larger = arena_alloc(arena, grown + 1);
        memcpy(larger, bytes, *length);
        bytes = larger;
        room = grown;
    }
    bytes[*length] = '\0';
    return bytes;
}

bool file_is_link(const char *path)
{
    struct stat status;
    return lstat(path, &status) == 0 && S_ISLNK(status.st_mode);
}

/* ------------------------------------------------------------------ writing */

bool replacement_begin(Arena *arena, Replacement *replacement, const char *path, const char **why)
{
    const char *name = strrchr(path, '/');
    size_t folder = name ? (size_t)(name - path) + 1 : 0;
    char *beside = arena_print(arena,
                               "%.*s.heelcut-"
                               "XX"
                               "XX"
                               "XX",
                               (int)folder, path);
    replacement->path = path;
    replacement->beside = beside;
    replacement->descriptor = mkstemp(beside);
    if (replacement->descriptor >= 0) return true;
    *why = strerror(errno);
    return false;
}

void replacement_give_up(Replacement *replacement)
{
    if (replacement->descriptor >= 0) close(replacement->descriptor);
    unlink(replacement->beside);
    replacement->descriptor = -1;
}

static mode_t mode_of(const char *path)
{
    struct stat status;
    if (stat(path, &status) == 0) return status.st_mode & 0777;
    mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

bool file_sync(int descriptor)
{
    while (fsync(descriptor) < 0)
        if (errno != EINTR) return false;
    return true;
}

bool file_sync_folder(const char *path)
{
    const char *name = strrchr(path, '/');
    char folder[4096] = ".";
    size_t length = name ? (size_t)(name - path) + 1 : 0;
    if (length >= sizeof folder) {
        errno = ENAMETOOLONG;
        return false;
    }
    if (length) {
        memcpy(folder, path, length);
        folder[length] = '\0';
    }
    int descriptor = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (descriptor < 0) return false;
    bool synced = file_sync(descriptor);
    int failure = errno;
    close(descriptor);
    errno = failure;
    return synced;
}

bool replacement_end(Replacement *replacement, const char **why)
{
    bool good = fchmod(replacement->descriptor, mode_of(replacement->path)) == 0 &&
                file_sync(replacement->descriptor);
    int failure = good ? 0 : errno;
    if (close(replacement->descriptor) < 0 && good) {
        good = false;
        failure = errno;
    }
    replacement->descriptor = -1;
    if (good && rename(replacement->beside, replacement->path) < 0) {
        good = false;
        failure = errno;
    }
    if (!good) {
        *why = strerror(failure);
        unlink(replacement->beside);
        return false;
    }
    file_sync_folder(
        replacement->path); /* the file is whole without it; only its name could be lost with the power */
    return true;
}
