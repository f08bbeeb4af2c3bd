/* Open-addressed sets that double, each for itself, so that the old and the new one of a sixteenth of the ids
 * are there at once and never those of all; the old one is given back at once. */
#include "model/plan_ids.h"

enum { SHELF_START = 256 };

static void make_room(IdShelf *shelf, ArenaExhausted *exhausted, size_t room)
{
    shelf->arena = arena_new(exhausted);
    shelf->hashes = ARENA_ARRAY(shelf->arena, uint64_t, room);
    shelf->lines = ARENA_ARRAY(shelf->arena, uint32_t, room);
    shelf->room = room;
}

void ids_start(PlanIds *ids, ArenaExhausted *exhausted)
{
    *ids = (PlanIds){.exhausted = exhausted};
}

static size_t slot_of(const IdShelf *shelf, uint64_t hash)
{
    size_t slot = (size_t)(hash ^ hash >> 29) & (shelf->room - 1);
    while (shelf->hashes[slot] && shelf->hashes[slot] != hash) slot = (slot + 1) & (shelf->room - 1);
    return slot;
}

static void grow(IdShelf *shelf, ArenaExhausted *exhausted)
{
    IdShelf old = *shelf;
    make_room(shelf, exhausted, old.room ? old.room * 2 : SHELF_START);
    for (size_t i = 0; i < old.room; i++) {
        if (!old.hashes[i]) continue;
        size_t slot = slot_of(shelf, old.hashes[i]);
        shelf->hashes[slot] = old.hashes[i];
        shelf->lines[slot] = old.lines[i];
    }
    if (old.room) arena_free(old.arena);
}

uint32_t ids_add(PlanIds *ids, Slice id, uint32_t line)
{
    uint64_t hash = slice_hash(id);
    if (!hash) hash = 1;
    IdShelf *shelf = &ids->shelves[hash >> 60];
    if (shelf->count * 4 >= shelf->room * 3) grow(shelf, ids->exhausted);
    size_t slot = slot_of(shelf, hash);
    if (shelf->hashes[slot]) return shelf->lines[slot];
    shelf->hashes[slot] = hash;
    shelf->lines[slot] = line;
    shelf->count++;
    return 0;
}

void ids_free(PlanIds *ids)
{
    for (size_t i = 0; i < ID_SHELVES; i++)
        if (ids->shelves[i].room) arena_free(ids->shelves[i].arena);
}
