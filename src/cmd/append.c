/* Adding to the end of a file: see append.h.
 *
 * Whoever adds holds a lock on the file, from before he looks at what stands in it until his bytes are on the
 * disk. The lock is flock's: it belongs to the open file, where one of fcntl's would be lost as soon as the
 * nursery is read again and any descriptor of the file closes.
 */
#include "cmd/append.h"

#include "cmd/files.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

enum { TRY_AGAIN = 5000000 }; /* nanoseconds between two looks at a lock */

/* ------------------------------------------------------------------ opening */

/* Without O_CREAT first, so that it is known who made the file. */
static int open_or_make(const char *path, bool *made)
{
    const int flags = O_RDWR | O_APPEND | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK | O_NOCTTY;
    while (true) {
        *made = false;
        int file = open(path, flags);
        if (file >= 0 || errno != ENOENT) return file;
        *made = true;
        file = open(path, flags | O_CREAT | O_EXCL, 0666);
        if (file >= 0 || errno != EEXIST) return file;
    }
}

static const char *why_not(int failure)
{
    return failure == ELOOP ? "it is a symbolic link; name the file it leads to" : strerror(failure);
}

/* Whether the path still leads to the file that was opened: it may have been replaced while we waited. */
static bool is_still_there(const Append *append)
{
    struct stat opened, there;
    return fstat(append->file, &opened) == 0 && stat(append->path, &there) == 0 &&
           opened.st_dev == there.st_dev && opened.st_ino == there.st_ino;
}

static bool is_regular(Append *append)
{
    struct stat status;
    if (fstat(append->file, &status) < 0 || !S_ISREG(status.st_mode)) return false;
    append->length = status.st_size;
    return true;
}

/* False: somebody else has it. */
static bool lock(const Append *append)
{
    while (flock(append->file, LOCK_EX | LOCK_NB) < 0) {
        if (errno == EINTR) continue;
        return errno != EWOULDBLOCK; /* a file system without locks: the write itself is still one */
    }
    return true;
}

static bool time_is_up(const struct timespec *begin)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec - begin->tv_sec >= APPEND_WAIT;
}

bool append_open(Append *append, const char *path, const char **why)
{
    struct timespec begin;
    clock_gettime(CLOCK_MONOTONIC, &begin);
    *append = (Append){.path = path};
    while (true) {
        append->file = open_or_make(path, &append->made);
        if (append->file < 0) {
            *why = why_not(errno);
            return false;
        }
        if (!is_regular(append)) {
            close(append->file);
            *why = "it is no file that can be added to";
            return false;
        }
        bool ours = lock(append);
        if (ours && is_still_there(append) && is_regular(append)) return true;
        close(append->file);
        if (time_is_up(&begin)) {
            *why = "somebody else is adding to it, and after ten seconds still was; try again";
            return false;
        }
        if (!ours) nanosleep(&(struct timespec){.tv_nsec = TRY_AGAIN}, NULL);
    }
}

/* ------------------------------------------------------------------ writing */

/* What was written of it is taken back, so that no part of a line stays. */
static AppendResult take_back(Append *append, int failure, const char **why)
{
    *why = strerror(failure);
    return ftruncate(append->file, append->length) == 0 ? APPEND_REFUSED : APPEND_TORN;
}

AppendResult append_write(Append *append, Slice bytes, const char **why)
{
    Slice left = bytes;
    while (left.length) {
        ssize_t count = write(append->file, left.at, left.length);
        if (count < 0 && errno == EINTR) continue;
        if (count <= 0) return take_back(append, count < 0 ? errno : ENOSPC, why);
        left = (Slice){left.at + count, left.length - (size_t)count};
    }
    append->length += (off_t)bytes.length;
    /* After a failure the system may call the pages clean: asked again it would say that all is well. */
    if (!file_sync(append->file) || (append->made && !file_sync_folder(append->path))) {
        *why = strerror(errno);
        return APPEND_UNSURE;
    }
    return APPEND_DONE;
}

void append_close(Append *append)
{
    if (append->made && append->length == 0) unlink(append->path);
    close(append->file);
}
