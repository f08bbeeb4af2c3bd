/* Structures as bytes, for what is the same at every start of the program and made when it is built.
 *
 * Given tables of the members of some kinds of structure, makes of them bytes that hold no address and hang
 * on no machine; given those, makes the same structures. Both ways go by the tables, so there is no format to
 * keep: a new member is a new row.
 */
#ifndef BASE_PACK_H
#define BASE_PACK_H

#include "base/buffer.h"
#include "base/slice.h"
#include "base/text.h"

typedef enum MemberKind {
    MEMBER_NUMBER, /* a number, truth or enumeration of 1, 2, 4 or 8 bytes */
    MEMBER_SLICE,
    MEMBER_SPAN,
    MEMBER_STRING, /* NUL-terminated */
    MEMBER_NAME,
    MEMBER_ROW,  /* a pointer to a row of a table */
    MEMBER_NODES /* a pointer to structures: one, a list linked by its `next`, or several side by side */
} MemberKind;

/* No pointers in it: a program that may be loaded anywhere sets each at every start. */
typedef struct Member {
    uint8_t kind;
    uint8_t of;        /* NODES: the number of their shape; ROW: of the table */
    uint16_t at, size; /* in the structure */
    uint16_t count;    /* NODES side by side: where their number lies; else 0 */
} Member;

typedef struct Shape {
    uint32_t size, next; /* `next` is the size where there is none */
    uint32_t count;
    const Member *members;
} Shape;

typedef struct PackTable {
    const void *first;
    size_t size; /* of a row */
} PackTable;

typedef struct PackFormat {
    const Shape *shapes;
    const PackTable *tables;
} PackFormat;

#define MEMBER_OF(KIND, Type, name)                                                                          \
    {                                                                                                        \
        .kind = MEMBER_##KIND, .at = offsetof(Type, name), .size = sizeof(((Type *)0)->name)                 \
    }
#define NUMBER_IN(Type, name) MEMBER_OF(NUMBER, Type, name)
#define SLICE_IN(Type, name) MEMBER_OF(SLICE, Type, name)
#define SPAN_IN(Type, name) MEMBER_OF(SPAN, Type, name)
#define STRING_IN(Type, name) MEMBER_OF(STRING, Type, name)
#define NAME_IN(Type, name) MEMBER_OF(NAME, Type, name)
#define ROW_IN(Type, name, table)                                                                            \
    {                                                                                                        \
        .kind = MEMBER_ROW, .of = (table), .at = offsetof(Type, name), .size = sizeof(void *)                \
    }
#define NODES_IN(Type, name, shape)                                                                          \
    {                                                                                                        \
        .kind = MEMBER_NODES, .of = (shape), .at = offsetof(Type, name), .size = sizeof(void *)              \
    }
#define ARRAY_IN(Type, name, counted, shape)                                                                 \
    {                                                                                                        \
        .kind = MEMBER_NODES, .of = (shape), .at = offsetof(Type, name), .size = sizeof(void *),             \
        .count = offsetof(Type, counted)                                                                     \
    }
#define SHAPE(Type, rows)                                                                                    \
    {                                                                                                        \
        sizeof(Type), sizeof(Type), sizeof(rows) / sizeof *(rows), rows                                      \
    }
#define SHAPE_OF_LIST(Type, rows)                                                                            \
    {                                                                                                        \
        sizeof(Type), offsetof(Type, next), sizeof(rows) / sizeof *(rows), rows                              \
    }

/* Adds a structure, with the list that it begins, to a buffer in memory. NULL is an empty list. */
void pack(const PackFormat *format, Buffer *out, const Text *text, unsigned shape, const void *first);
/* The same again, over the same text; NULL for an empty list. The bytes are trusted, as only `pack` makes
 * them, and must stay: what stands in no text is not copied. */
void *unpack(const PackFormat *format, Arena *arena, Names *names, const Text *text, unsigned shape,
             const char *bytes);

#endif
