/* Loaded before the C library, it refuses one request for memory.
 *
 * FAIL_AT names which: 1 is the first the process makes. When that request comes, the file FAIL_TELL is
 * created, so that the runner knows there was one, and the request gets NULL. Every other request is passed
 * on.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <sys/mman.h>
#include <sys/syscall.h>
#include <unistd.h>

/* The C library's own functions under the names that it keeps for this. */
void *__libc_malloc(size_t size);
void *__libc_calloc(size_t count, size_t size);
void *__libc_realloc(void *old, size_t size);
void *__libc_memalign(size_t alignment, size_t size);

static atomic_long requests;

static int refused(void)
{
    const char *at = getenv("FAIL_AT");
    if (!at || atomic_fetch_add(&requests, 1) + 1 != strtol(at, NULL, 10)) return 0;
    const char *tell = getenv("FAIL_TELL");
    int file = tell ? open(tell, O_CREAT | O_WRONLY | O_CLOEXEC, 0600) : -1;
    if (file >= 0) close(file);
    errno = ENOMEM;
    return 1;
}

void *malloc(size_t size)
{
    return refused() ? NULL : __libc_malloc(size);
}

void *calloc(size_t count, size_t size)
{
    return refused() ? NULL : __libc_calloc(count, size);
}

void *realloc(void *old, size_t size)
{
    return refused() ? NULL : __libc_realloc(old, size);
}

void *aligned_alloc(size_t alignment, size_t size)
{
    return refused() ? NULL : __libc_memalign(alignment, size);
}

/* The program may also ask the system for pages. Calls inside the C library do not come through here. */
void *mmap(void *address, size_t length, int protection, int flags, int file, off_t offset)
{
    if (refused()) return MAP_FAILED;
    return (void *)syscall(SYS_mmap, address, length, protection, flags, file, offset);
}
