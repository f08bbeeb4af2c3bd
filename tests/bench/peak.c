/* Runs a command and writes its seconds and its peak memory in KiB to the file named first: `peak FILE
 * COMMAND…`. A program of its own, since a child is charged with the memory of whoever started it, and a
 * small one charges little. Ends as the command ends. */
#define _GNU_SOURCE
#include <stdio.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static double now(void)
{
    struct timespec time;
    clock_gettime(CLOCK_MONOTONIC, &time);
    return (double)time.tv_sec + (double)time.tv_nsec / 1e9;
}

int main(int count, char **words)
{
    if (count < 3) return 125;
    double begin = now();
    pid_t child = vfork();
    if (child == 0) {
        execvp(words[2], words + 2);
        _exit(127);
    }
    int status;
    struct rusage usage;
    if (child < 0 || wait4(child, &status, 0, &usage) < 0) return 125;
    double seconds = now() - begin;
    FILE *file = fopen(words[1], "w");
    if (!file) return 125;
    fprintf(file, "%.6f %ld\n", seconds, usage.ru_maxrss);
    fclose(file);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 126;
}
