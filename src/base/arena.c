/* Arenas: a chain of zeroed chunks, handed out from the front.
 *
 * Given sizes, makes zeroed memory. What was never handed out is kept zero, so that a large piece costs
 * nothing until it is touched; giving back to a mark clears what was used since. Under the address sanitizer
 * everything not handed out is poisoned, with a gap behind each piece, so an overrun is seen as it would be
 * on the heap. What happens when memory runs out is left to the handler.
 */
#include "base/arena.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#if defined(__SANITIZE_ADDRESS__)
#define POISONING 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define POISONING 1
#endif
#endif

#ifdef POISONING
#include <sanitizer/asan_interface.h>
enum { GAP = 16 };
static void hide(const void *at, size_t size)
{
    __asan_poison_memory_region(at, size);
}
static void show(const void *at, size_t size)
{
    __asan_unpoison_memory_region(at, size);
}
#else
enum { GAP = 0 };
static void hide(const void *at, size_t size)
{
    (void)at, (void)size;
}
static void show(const void *at, size_t size)
{
    (void)at, (void)size;
}
#endif

/* From its first chunk on so large that the system maps it: it comes zeroed, and costs only what is touched.
 */
enum { CHUNK_FIRST = 1 << 20, CHUNK_LARGEST = 4 << 20, ALIGNMENT = _Alignof(max_align_t) };

typedef struct Chunk Chunk;
struct Chunk {
    Chunk *next;
    size_t room, used;
    _Alignas(max_align_t) char bytes[];
};

struct Arena {
    ArenaExhausted *exhausted;
    Chunk *first, *current; /* chunks behind the current one are empty and wait for reuse */
    size_t held;
    size_t next_room;
};

static _Noreturn void exhaust(ArenaExhausted *exhausted, size_t wanted)
{
    exhausted(wanted);
    abort(); /* the handler broke its promise; there is nothing to go on with */
}

Arena *arena_new(ArenaExhausted *exhausted)
{
    Arena *arena = calloc(1, sizeof *arena);
    if (!arena) exhaust(exhausted, sizeof *arena);
    arena->exhausted = exhausted;
    arena->held = sizeof *arena;
    arena->next_room = CHUNK_FIRST;
    return arena;
}

void arena_free(Arena *arena)
{
    if (!arena) return;
    for (Chunk *chunk = arena->first, *next; chunk; chunk = next) {
        next = chunk->next;
        show(chunk->bytes, chunk->room);
        free(chunk);
    }
    free(arena);
}

/* Puts a fresh chunk with at least `room` bytes behind the current one. */
static Chunk *chunk_add(Arena *arena, size_t room)
{
    size_t wanted = room;
    if (room < arena->next_room) room = arena->next_room;
    if (arena->next_room < CHUNK_LARGEST) arena->next_room *= 2;
    if (room > SIZE_MAX - sizeof(Chunk)) exhaust(arena->exhausted, wanted);
    Chunk *chunk = calloc(1, sizeof(Chunk) + room);
    if (!chunk) exhaust(arena->exhausted, wanted);
    chunk->room = room;
    hide(chunk->bytes, room);
    arena->held += sizeof(Chunk) + room;
    Chunk **link = arena->current ? &arena->current->next : &arena->first;
    chunk->next = *link;
    *link = chunk;
    return chunk;
}

/* Where the next piece of this alignment begins in a chunk, or SIZE_MAX when it has no room for it. */
static size_t place_in(const Chunk *chunk, size_t size, size_t alignment)
{
    size_t begin = (chunk->used + alignment - 1) & ~(alignment - 1);
    return begin <= chunk->room && size <= chunk->room - begin ? begin : SIZE_MAX;
}

static void *take(Arena *arena, size_t size, size_t alignment)
{
    if (size > SIZE_MAX - GAP) exhaust(arena->exhausted, size);
    size_t whole = size + GAP;
    Chunk *chunk = arena->current;
    size_t begin = chunk ? place_in(chunk, whole, alignment) : SIZE_MAX;
    if (begin == SIZE_MAX) {
        Chunk *waiting = chunk ? chunk->next : arena->first;
        chunk = waiting && whole <= waiting->room ? waiting : chunk_add(arena, whole);
        arena->current = chunk;
        begin = 0;
    }
    chunk->used = begin + whole;
    show(chunk->bytes + begin, size);
    return chunk->bytes + begin;
}

void *arena_alloc(Arena *arena, size_t size)
{
    return take(arena, size, ALIGNMENT);
}

void *arena_array(Arena *arena, size_t count, size_t size)
{
    if (size && count > SIZE_MAX / size) exhaust(arena->exhausted, SIZE_MAX);
    return take(arena, count * size, ALIGNMENT);
}

char *arena_copy(Arena *arena, const void *bytes, size_t length)
{
    if (length == SIZE_MAX) exhaust(arena->exhausted, length);
    char *copy = take(arena, length + 1, 1);
    if (length) memcpy(copy, bytes, length);
    return copy;
}

char *arena_print_values(Arena *arena, const char *format, va_list values)
{
    va_list again;
    va_copy(again, values);
    int length = vsnprintf(NULL, 0, format, again);
    va_end(again);
    size_t room = length < 0 ? 1 : (size_t)length + 1;
    char *text = take(arena, room, 1);
    if (length > 0) vsnprintf(text, room, format, values);
    return text;
}

char *arena_print(Arena *arena, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    char *text = arena_print_values(arena, format, values);
    va_end(values);
    return text;
}

ArenaMark arena_mark(const Arena *arena)
{
    Chunk *current = arena->current;
    return (ArenaMark){current, current ? current->used : 0};
}

/* Gives back what a chunk holds from `keep` on, and makes it zero again. */
static void chunk_empty(Chunk *chunk, size_t keep)
{
    show(chunk->bytes + keep, chunk->used - keep);
    memset(chunk->bytes + keep, 0, chunk->used - keep);
    hide(chunk->bytes + keep, chunk->used - keep);
    chunk->used = keep;
}

void arena_release(Arena *arena, ArenaMark mark)
{
    Chunk *kept = mark.chunk;
    Chunk *chunk = kept ? kept->next : arena->first;
    if (kept) chunk_empty(kept, mark.used);
    for (; chunk && chunk->used; chunk = chunk->next) chunk_empty(chunk, 0);
    arena->current = kept;
}

size_t arena_size(const Arena *arena)
{
    return arena->held;
}
