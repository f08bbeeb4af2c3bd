/* What the files of inheritance share. Private to src/model. */
#ifndef MODEL_INHERIT_H
#define MODEL_INHERIT_H

#include "base/vec.h"
#include "model/limit.h"
#include "model/protocol.h"

/* The same block in each layer: base below, practices over it (in the order of their names), the protocol's
 * own on top. */
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

/* The layers from below: base, practices, own; NULL where one does not have the block. */
static inline size_t layers_count(const Layers *layers)
{
    return layers->practice_count + 2;
}
const Block *layer_at(const Layers *layers, size_t index);

Block *layers_lay(Layering *layering, const Layers *layers, const char *id);
/* Lays the stages of a protocol, in their order, and hangs them at `end`. */
void stages_lay(Layering *layering, const Layers *layers, Drops *drops, Block *into, Block **end);

/* Lays the clauses of all layers over each other (inherit_fields.c). */
void fields_lay(Layering *layering, const Layers *layers, Drops *drops, Block *into);

/* A field of a block is said in two ways that stand beside each other: what must be, and what is preferred.
 */
typedef enum Slot { SLOT_LIMIT, SLOT_PREFER } Slot;
Clause *clause_copy(Layering *layering, const Clause *clause);
/* What a block says of a field in a slot: several clauses where the field may stand more than once. */
Clause *clauses_said(Layering *layering, const Block *block, const Field *field, Slot slot);
/* Several clauses of one layer as one reading; NULL when one of them could not be read. */
const Reading *clauses_joined(Arena *arena, const Clause *said);

/* What practices say together (inherit_practices.c); the protocol's own would win, so they are asked only
 * without it. *clash: what they prefer has nothing in common, and so nothing is preferred. */
Clause *practices_said(Layering *layering, const Layers *layers, const Field *field, Slot slot,
                       const char *id, bool *clash);
/* The practice whose `act` blocks count, and the title that counts. */
const Block *practices_acting(Layering *layering, const Layers *layers, const char *id);
Slice practices_title(Layering *layering, const Layers *layers, const char *id);
/* Two of their blocks that are taken whole must say the same. */
void practices_compare(Layering *layering, const Block *a, const Block *b, const char *id);
/* Two practices say one thing differently: an error at both places. */
void practices_disagree(Layering *layering, const char *what, Span a, Span b, const char *id);

/* What the heir takes away (inherit_drops.c). */
size_t drops_of(Layering *layering, const Block *own, Drop **drops);
/* A copy of an inherited clause as the drops leave it; NULL when nothing of it is left. */
Clause *drops_spare(Layering *layering, Drops *drops, const Clause *clause);
/* A block of that kind and name is dropped; the drop counts as used. */
bool drop_block(Drop *drops, size_t count, BlockKind kind, Name name);
void drops_check(Layering *layering, const Drop *drops, size_t count, const char *id);

#endif
