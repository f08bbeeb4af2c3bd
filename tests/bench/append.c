/* Loaded before the C library, tells how long a program takes to add to a file: from its first write to it,
 * behind the lock, to the end of the wait for the disk. LOCKED and APPENDED, in microseconds, go to the file
 * that TELL names: from the lock to the end, and from the write to the end. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/file.h>
#include <time.h>
#include <unistd.h>

static int locked = -1;
static double locked_at, written_at;

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec * 1e6 + (double)time.tv_nsec / 1e3;
}

int flock(int file, int operation)
{
    int (*real)(int, int);
    *(void **)&real = dlsym(RTLD_NEXT, "flock");
    int result = real(file, operation);
    if (result == 0) {
        locked = file;
        locked_at = now();
    }
    return result;
}

ssize_t write(int file, const void *bytes, size_t length)
{
    ssize_t (*real)(int, const void *, size_t);
    *(void **)&real = dlsym(RTLD_NEXT, "write");
    if (file == locked && written_at == 0) written_at = now();
    return real(file, bytes, length);
}

int fsync(int file)
{
    int (*real)(int);
    *(void **)&real = dlsym(RTLD_NEXT, "fsync");
    int result = real(file);
    FILE *tell = file == locked && getenv("TELL") ? fopen(getenv("TELL"), "w") : NULL;
    if (tell) {
        fprintf(tell, "%.0f %.0f\n", now() - locked_at, now() - written_at);
        fclose(tell);
    }
    return result;
}
