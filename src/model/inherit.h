/* What the two files of inheritance share. Private to src/model. */
#ifndef MODEL_INHERIT_H
#define MODEL_INHERIT_H

#include "base/vec.h"
#include "model/protocol.h"

/* The same block in each layer: base below, practices over it (their order means nothing), the protocol's own
 * on top. */
typedef struct Layers {
    const Block *base; /* NULL where a layer does not have it */
    const Block **practices;
    size_t practice_count;
    const Block *own;
} Layers;

typedef struct Layering {
    Arena *arena;
    Names *names;
    Notes *notes;
    const Protocol *protocol;
} Layering;

typedef struct Drop {
    const Clause *clause;
    bool used;
} Drop;

typedef struct Drops {
    Drop *at;
    size_t count;
} Drops;

/* What limits (must, plain), and what is preferred; `never` has no slot, it adds up. */
typedef enum Slot { SLOT_LIMIT, SLOT_PREFER } Slot;
bool slot_has(const Clause *clause, Slot slot);
const Clause *slot_clause(const Block *block, const Field *field, Slot slot); /* the first; NULL */
Clause *clause_copy(Layering *layering, const Clause *clause);

size_t practices_with(const Layers *layers, const Field *field,
                      Slot slot); /* how many of them say anything */
/* What the practices say together; the protocol's own clause would win, so it is asked only without one.
 * NULL: nothing, or they disagree and that was told. */
const Clause *practices_united(Layering *layering, const Layers *layers, const Field *field, Slot slot,
                               const char *id);

Block *layers_lay(Layering *layering, const Layers *layers, const char *id);
/* Lays the stages of a protocol, in their order, and hangs them at `end`. */
void stages_lay(Layering *layering, const Layers *layers, Drops *drops, Block *into, Block **end);

size_t drops_of(Layering *layering, const Block *own, Drop **drops);
/* A block of that kind and name is dropped; the drop counts as used. */
bool drop_block(Drop *drops, size_t count, BlockKind kind, Name name);
void drops_check(Layering *layering, const Drop *drops, size_t count, const char *id);

#endif
