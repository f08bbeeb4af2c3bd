/* A growable array in an arena, by macro: declare with VEC(Type), start zeroed, add with VEC_PUSH.
 *
 * Growing copies and leaves the old block in the arena, so pointers to elements die at the next push but
 * never dangle into freed memory.
 */
#ifndef BASE_VEC_H
#define BASE_VEC_H

#include "base/arena.h"

#include <string.h>

#define VEC(Type)                                                                                            \
    struct {                                                                                                 \
        Type *at;                                                                                            \
        size_t count, room;                                                                                  \
    }

/* Adds a zeroed element and gives a pointer to it. */
#define VEC_ADD(arena, vec)                                                                                  \
    (vec_grow((arena), (void **)&(vec)->at, &(vec)->room, (vec)->count, sizeof *(vec)->at),                  \
     &(vec)->at[(vec)->count++])

#define VEC_PUSH(arena, vec, value) (*VEC_ADD((arena), (vec)) = (value))

static inline void vec_grow(Arena *arena, void **at, size_t *room, size_t count, size_t size)
{
    if (count < *room) return;
    size_t wanted = *room ? *room * 2 : 2;
    void *grown = arena_array(arena, wanted, size);
    if (count) memcpy(grown, *at, count * size);
    *at = grown;
    *room = wanted;
}

#endif
