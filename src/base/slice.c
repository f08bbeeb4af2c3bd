/* Slices and interned names.
 *
 * Given pieces of text, compares and hashes them; given the same name twice, a table gives one pointer. The
 * table is open-addressed and at most half full, and lives in its arena with the names. Letters are bytes
 * here: characters are base/text's matter.
 */
#include "base/slice.h"

#include <string.h>

Slice slice_of(const char *text)
{
    return text ? (Slice){text, strlen(text)} : (Slice){"", 0};
}

bool slice_equal(Slice a, Slice b)
{
    return a.length == b.length && (a.length == 0 || memcmp(a.at, b.at, a.length) == 0);
}

bool slice_is_whole(Slice slice, const char *text)
{
    size_t i = 0;
    while (i < slice.length && text[i] == slice.at[i] && text[i]) i++;
    return i == slice.length && !text[i];
}

int slice_compare(Slice a, Slice b)
{
    size_t shared = a.length < b.length ? a.length : b.length;
    int order = shared ? memcmp(a.at, b.at, shared) : 0;
    if (order) return order < 0 ? -1 : 1;
    return (a.length > b.length) - (a.length < b.length);
}

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r' || c == '\n';
}

static size_t skip_blanks(Slice slice, size_t at)
{
    while (at < slice.length && is_blank(slice.at[at])) at++;
    return at;
}

bool slice_same_text(Slice a, Slice b)
{
    if (slice_equal(a, b)) return true;
    size_t i = skip_blanks(a, 0), k = skip_blanks(b, 0);
    while (i < a.length && k < b.length) {
        if (a.at[i] != b.at[k]) return false;
        size_t next_i = skip_blanks(a, ++i), next_k = skip_blanks(b, ++k);
        bool ends = next_i == a.length || next_k == b.length;
        if (!ends && (next_i == i) != (next_k == k)) return false; /* one word there, two here */
        i = next_i;
        k = next_k;
    }
    return i == a.length && k == b.length;
}

bool slice_starts(Slice slice, const char *prefix)
{
    size_t length = strlen(prefix);
    return slice.length >= length && slice_equal((Slice){slice.at, length}, (Slice){prefix, length});
}

static uint64_t mix(uint64_t hash, uint64_t word)
{
    hash = (hash ^ word) * UINT64_C(0x9E3779B97F4A7C15); /* 2^64 over the golden ratio, odd */
    return hash ^ hash >> 32;
}

uint64_t slice_hash(Slice slice)
{
    uint64_t hash = mix(UINT64_C(0x2545F4914F6CDD1D), slice.length);
    const char *at = slice.at;
    size_t left = slice.length;
    for (; left >= sizeof(uint64_t); left -= sizeof(uint64_t), at += sizeof(uint64_t)) {
        uint64_t word;
        memcpy(&word, at, sizeof word);
        hash = mix(hash, word);
    }
    uint64_t rest = 0;
    if (left) memcpy(&rest, at, left);
    return mix(hash, rest);
}

enum { NAMES_FIRST = 1024 }; /* places in a new table; always a power of two */

struct Names {
    Arena *arena;
    Name *place;
    size_t room;
    uint32_t count;
};

Names *names_new(Arena *arena)
{
    Names *names = ARENA_NEW(arena, Names);
    *names = (Names){arena, ARENA_ARRAY(arena, Name, NAMES_FIRST), NAMES_FIRST, 0};
    return names;
}

/* The place where a name stands or would stand. */
static size_t place_of(Name const *place, size_t room, uint64_t hash, Slice text)
{
    size_t i = (size_t)hash & (room - 1);
    while (place[i] && !(place[i]->hash == hash && slice_equal(name_slice(place[i]), text)))
        i = (i + 1) & (room - 1);
    return i;
}

static void names_grow(Names *names)
{
    size_t room = names->room * 2;
    Name *place = ARENA_ARRAY(names->arena, Name, room);
    for (size_t i = 0; i < names->room; i++) {
        Name name = names->place[i];
        if (name) place[place_of(place, room, name->hash, name_slice(name))] = name;
    }
    names->place = place;
    names->room = room;
}

Name names_intern(Names *names, Slice text)
{
    uint64_t hash = slice_hash(text);
    size_t i = place_of(names->place, names->room, hash, text);
    if (names->place[i]) return names->place[i];
    if (((size_t)names->count + 1) * 2 > names->room) {
        names_grow(names);
        i = place_of(names->place, names->room, hash, text);
    }
    struct NameText *name = arena_alloc(names->arena, sizeof *name + text.length + 1);
    name->length = (uint32_t)text.length;
    name->number = names->count++;
    name->hash = hash;
    if (text.length) memcpy(name->text, text.at, text.length);
    names->place[i] = name;
    return name;
}

Name names_find(const Names *names, Slice text)
{
    return names->place[place_of(names->place, names->room, slice_hash(text), text)];
}
