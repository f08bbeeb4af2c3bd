/* Structures as bytes: see pack.h.
 *
 * Most of a structure is nothing most of the time: it begins with the set of members that are something, and
 * only they follow. Numbers take seven bits a byte, lowest first; places are offsets in the text.
 */
#include "base/pack.h"

#include <string.h>

/* ------------------------------------------------------------------ packing */

typedef struct Packer {
    const PackFormat *format;
    const Text *text;
    Buffer *out;
} Packer;

static void pack_number(Packer *to, uint64_t number)
{
    for (; number > 0x7F; number >>= 7) buffer_char(to->out, (char)(number | 0x80));
    buffer_char(to->out, (char)number);
}

static uint64_t number_at(const char *at, size_t size)
{
    uint8_t byte;
    uint16_t half;
    uint32_t word;
    uint64_t number;
    switch (size) {
    case sizeof byte: return memcpy(&byte, at, size), byte;
    case sizeof half: return memcpy(&half, at, size), half;
    case sizeof word: return memcpy(&word, at, size), word;
    default: return memcpy(&number, at, sizeof number), number;
    }
}

static Slice slice_at(const char *at)
{
    Slice slice;
    memcpy(&slice, at, sizeof slice);
    return slice;
}

static Span span_at(const char *at)
{
    Span span;
    memcpy(&span, at, sizeof span);
    return span;
}

static const void *pointer_at(const char *at)
{
    const void *pointer;
    memcpy(&pointer, at, sizeof pointer);
    return pointer;
}

static bool is_something(const Member *member, const char *node)
{
    const char *at = node + member->at;
    switch ((MemberKind)member->kind) {
    case MEMBER_NUMBER: return number_at(at, member->size) != 0;
    case MEMBER_SLICE: return slice_at(at).at != NULL;
    case MEMBER_SPAN: return span_at(at).text != NULL;
    case MEMBER_STRING:
    case MEMBER_NAME:
    case MEMBER_ROW:
    case MEMBER_NODES: break;
    }
    return pointer_at(at) != NULL;
}

/* As a place in the text; of what stands in none, as its escapes are resolved, the bytes follow. */
static void pack_slice(Packer *to, Slice slice)
{
    const Text *text = to->text;
    bool inside = slice.at >= text->bytes && slice.at + slice.length <= text->bytes + text->length;
    pack_number(to, inside ? (uint64_t)(slice.at - text->bytes) + 1 : 0);
    pack_number(to, slice.length);
    if (!inside) buffer_slice(to->out, slice);
}

static void pack_string(Packer *to, const char *string)
{
    size_t length = strlen(string);
    pack_number(to, length);
    buffer_bytes(to->out, string, length + 1);
}

static void pack_row(Packer *to, const Member *member, const void *row)
{
    const PackTable *table = &to->format->tables[member->of];
    pack_number(to, (uint64_t)((const char *)row - (const char *)table->first) / table->size);
}

static void pack_nodes(Packer *to, unsigned shape, const char *first, size_t count);

static const char *next_of(const Shape *shape, const char *node)
{
    return shape->next < shape->size ? pointer_at(node + shape->next) : NULL;
}

static size_t list_length(const Shape *shape, const char *node)
{
    size_t count = 0;
    for (; node; node = next_of(shape, node)) count++;
    return count;
}

static void pack_member(Packer *to, const Member *member, const char *node)
{
    const char *at = node + member->at;
    switch ((MemberKind)member->kind) {
    case MEMBER_NUMBER: pack_number(to, number_at(at, member->size)); break;
    case MEMBER_SLICE: pack_slice(to, slice_at(at)); break;
    case MEMBER_SPAN:
        pack_number(to, span_at(at).begin);
        pack_number(to, span_at(at).end - span_at(at).begin);
        break;
    case MEMBER_STRING: pack_string(to, pointer_at(at)); break;
    case MEMBER_NAME: pack_string(to, ((Name)pointer_at(at))->text); break;
    case MEMBER_ROW: pack_row(to, member, pointer_at(at)); break;
    case MEMBER_NODES: {
        const char *first = pointer_at(at);
        size_t count = member->count ? (size_t)number_at(node + member->count, sizeof(size_t))
                                     : list_length(&to->format->shapes[member->of], first);
        pack_nodes(to, member->of, first, count);
        break;
    }
    }
}

static void pack_nodes(Packer *to, unsigned number, const char *first, size_t count)
{
    const Shape *shape = &to->format->shapes[number];
    pack_number(to, count);
    for (const char *node = first; count > 0; count--) {
        size_t members = 0;
        for (size_t i = 0; i < shape->count; i++) members += is_something(&shape->members[i], node);
        pack_number(to, members);
        for (size_t i = 0; i < shape->count; i++) {
            if (!is_something(&shape->members[i], node)) continue;
            pack_number(to, i);
            pack_member(to, &shape->members[i], node);
        }
        const char *next = next_of(shape, node);
        node = next ? next : node + shape->size;
    }
}

void pack(const PackFormat *format, Buffer *out, const Text *text, unsigned shape, const void *first)
{
    Packer to = {format, text, out};
    pack_nodes(&to, shape, first, list_length(&format->shapes[shape], first));
}

/* ------------------------------------------------------------------ unpacking */

typedef struct Unpacker {
    const PackFormat *format;
    Arena *arena;
    Names *names;
    const Text *text;
    const unsigned char *at;
} Unpacker;

static uint64_t unpack_number(Unpacker *from)
{
    uint64_t number = *from->at & 0x7F;
    for (unsigned shift = 7; *from->at++ & 0x80; shift += 7) number |= (uint64_t)(*from->at & 0x7F) << shift;
    return number;
}

static void set_number(char *at, size_t size, uint64_t number)
{
    uint8_t byte = (uint8_t)number;
    uint16_t half = (uint16_t)number;
    uint32_t word = (uint32_t)number;
    switch (size) {
    case sizeof byte: memcpy(at, &byte, size); break;
    case sizeof half: memcpy(at, &half, size); break;
    case sizeof word: memcpy(at, &word, size); break;
    default: memcpy(at, &number, sizeof number);
    }
}

static void set_pointer(char *at, const void *pointer)
{
    memcpy(at, &pointer, sizeof pointer);
}

static Slice unpack_slice(Unpacker *from)
{
    uint64_t place = unpack_number(from);
    size_t length = (size_t)unpack_number(from);
    if (place) return (Slice){from->text->bytes + place - 1, length};
    const char *bytes = (const char *)from->at;
    from->at += length;
    return (Slice){bytes, length};
}

static Slice unpack_string(Unpacker *from)
{
    size_t length = (size_t)unpack_number(from);
    Slice string = {(const char *)from->at, length};
    from->at += length + 1;
    return string;
}

static const void *unpack_row(Unpacker *from, const Member *member)
{
    const PackTable *table = &from->format->tables[member->of];
    return (const char *)table->first + unpack_number(from) * table->size;
}

static void *unpack_nodes(Unpacker *from, unsigned shape, size_t count);

static void unpack_member(Unpacker *from, const Member *member, char *node)
{
    char *at = node + member->at;
    switch ((MemberKind)member->kind) {
    case MEMBER_NUMBER: set_number(at, member->size, unpack_number(from)); break;
    case MEMBER_SLICE: {
        Slice slice = unpack_slice(from);
        memcpy(at, &slice, sizeof slice);
        break;
    }
    case MEMBER_SPAN: {
        uint32_t begin = (uint32_t)unpack_number(from);
        Span span = {from->text, begin, begin + (uint32_t)unpack_number(from)};
        memcpy(at, &span, sizeof span);
        break;
    }
    case MEMBER_STRING: set_pointer(at, unpack_string(from).at); break;
    case MEMBER_NAME: set_pointer(at, names_intern(from->names, unpack_string(from))); break;
    case MEMBER_ROW: set_pointer(at, unpack_row(from, member)); break;
    case MEMBER_NODES: {
        size_t count = (size_t)unpack_number(from);
        if (member->count) memcpy(node + member->count, &count, sizeof count);
        set_pointer(at, unpack_nodes(from, member->of, count));
        break;
    }
    }
}

static void *unpack_nodes(Unpacker *from, unsigned number, size_t count)
{
    const Shape *shape = &from->format->shapes[number];
    char *nodes = arena_array(from->arena, count, shape->size);
    for (size_t i = 0; i < count; i++) {
        char *node = nodes + i * shape->size;
        for (size_t members = (size_t)unpack_number(from); members > 0; members--)
            unpack_member(from, &shape->members[unpack_number(from)], node);
        if (i + 1 < count && shape->next < shape->size) set_pointer(node + shape->next, node + shape->size);
    }
    return nodes;
}

void *unpack(const PackFormat *format, Arena *arena, Names *names, const Text *text, unsigned shape,
             const char *bytes)
{
    Unpacker from = {format, arena, names, text, (const unsigned char *)bytes};
    size_t count = (size_t)unpack_number(&from);
    return count ? unpack_nodes(&from, shape, count) : NULL;
}
