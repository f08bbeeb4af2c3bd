/* A memory of stencils.
 *
 * Given a task, finds the runs that were put together for the last task like it, or has them put together by
 * the form. Which bytes there are, and what goes into the holes, is left to the form.
 */
#include "write/sheet_stencil.h"

#include "write/sheet_part.h"

#include <string.h>

enum { STENCIL_SLOTS = 4096, STENCIL_PROBES = 8 };

struct Stencils {
    Sheet *sheet;
    StencilRun *const *runs;
    Buffer *making;  /* the runs of one stencil */
    Stencil passing; /* one that is not remembered */
    char *kept;      /* the runs of all that are */
    size_t used, room;
    Stencil slots[STENCIL_SLOTS]; /* free without a protocol */
};

Stencils *stencils_new(Arena *arena, Sheet *sheet, StencilRun *const runs[STENCIL_RUNS], size_t room)
{
    Stencils *stencils = ARENA_NEW(arena, Stencils);
    stencils->sheet = sheet;
    stencils->runs = runs;
    stencils->making = buffer_in_memory(arena);
    stencils->kept = ARENA_ARRAY(arena, char, room);
    stencils->room = room;
    return stencils;
}

static bool same_key(const StencilKey *a, const StencilKey *b)
{
    return a->task == b->task && a->protocol == b->protocol && a->place == b->place && a->plant == b->plant;
}

static size_t slot_of(const StencilKey *key)
{
    uint64_t mixed = (uint64_t)(uintptr_t)key->protocol * UINT64_C(0x9e3779b97f4a7c15) +
                     (uint64_t)(uintptr_t)key->place * UINT64_C(0xbf58476d1ce4e5b9) +
                     (uint64_t)(uintptr_t)key->plant * UINT64_C(0x94d049bb133111eb) +
                     (uint64_t)key->task * UINT64_C(0xd6e8feb86659fd93);
    return (size_t)(mixed >> 32) % STENCIL_SLOTS;
}

/* The slot of a key, or the one to give to it. */
static Stencil *find(Stencils *stencils, const StencilKey *key)
{
    size_t first = slot_of(key);
    Stencil *slot = &stencils->slots[first];
    for (size_t i = 1; i < STENCIL_PROBES && slot->key.protocol && !same_key(&slot->key, key); i++)
        slot = &stencils->slots[(first + i) % STENCIL_SLOTS];
    return slot;
}

static void make(Stencils *stencils, const StencilKey *key, const WorkTask *task)
{
    Stencil *made = &stencils->passing;
    buffer_clear(stencils->making);
    made->key = *key;
    made->repeats = task_repeats(task);
    for (int i = 0; i < STENCIL_RUNS; i++) {
        stencils->runs[i](stencils->sheet, stencils->making, task);
        made->end[i] = (uint32_t)buffer_slice_of(stencils->making).length;
    }
    made->text = buffer_slice_of(stencils->making).at;
}

static Stencil *remember(Stencils *stencils, const StencilKey *key)
{
    size_t length = stencil_length(&stencils->passing);
    if (length > stencils->room) return &stencils->passing;
    if (length > stencils->room - stencils->used) {
        memset(stencils->slots, 0, sizeof stencils->slots);
        stencils->used = 0;
    }
    Stencil *slot = find(stencils, key);
    *slot = stencils->passing;
    slot->text = memcpy(stencils->kept + stencils->used, stencils->passing.text, length);
    stencils->used += length;
    return slot;
}

const Stencil *stencils_of(Stencils *stencils, const WorkTask *task)
{
    StencilKey key = {task->protocol, task->place, task->plant, task->date->task};
    Stencil *slot = find(stencils, &key);
    if (slot->key.protocol && same_key(&slot->key, &key)) return slot;
    make(stencils, &key, task);
    return remember(stencils, &key);
}
