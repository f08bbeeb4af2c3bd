/* Loaded before the C library, it lets one call that changes files go wrong.
 *
 * FAIL_AT names which: 1 is the first the process makes. FAIL_HOW says what happens to it: `error`, it is
 * refused as on a broken disk; `kill`, the process dies before it; `half`, a write puts down half of its
 * bytes and the process dies. When that call comes, the file FAIL_TELL is created, so that the runner knows
 * there was one. Every other call is passed on.
 */
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static long calls;

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
    int file = tell ? open(tell, O_CREAT | O_WRONLY | O_CLOEXEC, 0600) : -1;
    (void)file; /* stays open: closing it would be a call */
    if (!strcmp(*how, "kill")) die();
    errno = EIO;
    return true;
}

static bool refused(void)
{
    const char *how;
    if (!strikes(&how)) return false;
    if (strcmp(how, "error")) die();
    return true;
}

ssize_t write(int file, const void *bytes, size_t length)
{
    ssize_t (*real)(int, const void *, size_t);
    *(void **)&real = next("write");
    const char *how;
    if (!strikes(&how)) return real(file, bytes, length);
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
