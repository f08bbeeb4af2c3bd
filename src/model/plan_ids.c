/* An open-addressed set that doubles; the old one is given back at once. */
#include "model/plan_ids.h"

enum { IDS_START = 4096 };

static void make_room(PlanIds *ids, size_t room)
{
    ids->arena = arena_new(ids->exhausted);
    ids->hashes = ARENA_ARRAY(ids->arena, uint64_t, room);
    ids->lines = ARENA_ARRAY(ids->arena, uint32_t, room);
    ids->room = room;
}

void ids_start(PlanIds *ids, ArenaExhausted *exhausted)
{
    *ids = (PlanIds){.exhausted = exhausted};
    make_room(ids, IDS_START);
}

static size_t slot_of(const PlanIds *ids, uint64_t hash)
{
    size_t slot = (size_t)(hash ^ hash >> 29) & (ids->room - 1);
    while (ids->hashes[slot] && ids->hashes[slot] != hash) slot = (slot + 1) & (ids->room - 1);
    return slot;
}

static void grow(PlanIds *ids)
{
    PlanIds old = *ids;
    make_room(ids, old.room * 2);
    for (size_t i = 0; i < old.room; i++) {
        if (!old.hashes[i]) continue;
        size_t slot = slot_of(ids, old.hashes[i]);
        ids->hashes[slot] = old.hashes[i];
        ids->lines[slot] = old.lines[i];
    }
    arena_free(old.arena);
}

uint32_t ids_add(PlanIds *ids, Slice id, uint32_t line)
{
    if (ids->count * 4 >= ids->room * 3) grow(ids);
    uint64_t hash = slice_hash(id);
    if (!hash) hash = 1;
    size_t slot = slot_of(ids, hash);
    if (ids->hashes[slot]) return ids->lines[slot];
    ids->hashes[slot] = hash;
    ids->lines[slot] = line;
    ids->count++;
    return 0;
}

void ids_free(PlanIds *ids)
{
    arena_free(ids->arena);
}
