/* Memory that is given back all at once.
 *
 * Everything that belongs to one nursery lives in one arena and dies with it; nothing is freed singly. This
 * is the only module that asks the system for memory. When the system refuses, the arena calls the handler it
 * was made with, which must not return: so no other function has to say what it does without memory, and
 * the program ends in one place, with a message and a status (see docs/design.md, "Memory").
 */
#ifndef BASE_ARENA_H
#define BASE_ARENA_H

#include <stdarg.h>
#include <stddef.h>

typedef struct Arena Arena;
typedef void ArenaExhausted(size_t wanted); /* bytes that were asked for; must not return */

Arena *arena_new(ArenaExhausted *exhausted);
void arena_free(Arena *arena); /* NULL is fine */

/* Zeroed memory of `size` bytes, aligned for any type. Size 0 gives a valid pointer. */
void *arena_alloc(Arena *arena, size_t size);
/* `count` elements of `size` bytes; a product that overflows counts as exhausted. */
void *arena_array(Arena *arena, size_t count, size_t size);
/* A copy of `length` bytes with a NUL behind it. */
char *arena_copy(Arena *arena, const void *bytes, size_t length);
/* printf into the arena. */
char *arena_print(Arena *arena, const char *format, ...) __attribute__((format(printf, 2, 3)));
char *arena_print_values(Arena *arena, const char *format, va_list values)
    __attribute__((format(printf, 2, 0)));

#define ARENA_NEW(arena, Type) ((Type *)arena_alloc((arena), sizeof(Type)))
#define ARENA_ARRAY(arena, Type, count) ((Type *)arena_array((arena), (count), sizeof(Type)))

/* What was allocated after a mark can be given back at once; the memory is kept for reuse. */
typedef struct ArenaMark {
    void *chunk;
    size_t used;
} ArenaMark;
ArenaMark arena_mark(const Arena *arena);
void arena_release(Arena *arena, ArenaMark mark);

size_t arena_size(const Arena *arena); /* bytes held from the system */

#endif
