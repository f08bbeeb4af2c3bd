/* Loaded before the C library, it lets one call that changes files go wrong.
 *
 * FAIL_AT names which: 1 is the first the process makes. FAIL_HOW says what happens to it: `error`, it is
 * refused as on a broken disk; `kill`, the process dies before it; `half`, a write puts down half of its
 * bytes and the process dies; `full`, a write puts down half of its bytes and the disk is full from then on.
 * When that call comes, the file FAIL_TELL is created, so that the runner knows there was one. Every other
 * call is passed on.
 */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

static long calls;
static bool is_full;

static void *next(const char *name)
{
    return dlsym(RTLD_NEXT, name);
}

static void die(void)
{
    raise(SIGKILL);
}

/* Whether this call is refused; does not return where the process is to die before it. */
static bool strikes(const char **how)
{
    const char *at = getenv("FAIL_AT"), *tell = getenv("FAIL_TELL");
    *how = getenv("FAIL_HOW");
    if (!at || !*how || ++calls != strtol(at, NULL, 10)) return false;
    int (*real)(const char *, int, ...);
    *(void **)&real = next("open");
    int file = tell ? real(tell, O_CREAT | O_WRONLY | O_CLOEXEC, 0600) : -1;
    (void)file; /* stays open: closing it would be a call */
    if (!strcmp(*how, "kill")) die();
    errno = !strcmp(*how, "full") ? ENOSPC : EIO;
    return true;
}

static bool refused(void)
{
    const char *how;
    if (!strikes(&how)) return false;
    if (!strcmp(how, "half")) die();
    return true;
}

ssize_t write(int file, const void *bytes, size_t length)
{
    ssize_t (*real)(int, const void *, size_t);
    *(void **)&real = next("write");
    const char *how;
    struct stat status;
    bool on_disk = fstat(file, &status) == 0 && S_ISREG(status.st_mode);
    if (is_full && on_disk) return errno = ENOSPC, -1;
    if (!strikes(&how)) return real(file, bytes, length);
    is_full = !strcmp(how, "full");
    if (is_full) return real(file, bytes, length / 2);
    if (strcmp(how, "half")) return -1;
    if (real(file, bytes, length / 2) < 0) errno = EIO;
    die();
    return -1;
}

int mkstemp(char *name)
{
    int (*real)(char *);
    *(void **)&real = next("mkstemp");
    return refused() ? -1 : real(name);
}

int fchmod(int file, mode_t mode)
{
    int (*real)(int, mode_t);
    *(void **)&real = next("fchmod");
    return refused() ? -1 : real(file, mode);
}

int fsync(int file)
{
    int (*real)(int);
    *(void **)&real = next("fsync");
    return refused() ? -1 : real(file);
}

/* A close that fails has closed all the same. */
int close(int file)
{
    int (*real)(int);
    *(void **)&real = next("close");
    bool fails = refused();
    int result = real(file);
    return fails ? (errno = EIO, -1) : result;
}

int rename(const char *from, const char *to)
{
    int (*real)(const char *, const char *);
    *(void **)&real = next("rename");
    return refused() ? -1 : real(from, to);
}

int ftruncate(int file, off_t length)
{
    int (*real)(int, off_t);
    *(void **)&real = next("ftruncate");
    return refused() ? -1 : real(file, length);
}

int unlink(const char *path)
{
    int (*real)(const char *);
    *(void **)&real = next("unlink");
    return refused() ? -1 : real(path);
}

int flock(int file, int operation)
{
    int (*real)(int, int);
    *(void **)&real = next("flock");
    return refused() ? -1 : real(file, operation);
}

/* Only one that may make a file is counted. */
int open(const char *path, int flags, ...)
{
    int (*real)(const char *, int, ...);
    *(void **)&real = next("open");
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;
    va_end(more);
    if (!(flags & O_CREAT)) return real(path, flags);
    return refused() ? -1 : real(path, flags, mode);
}
