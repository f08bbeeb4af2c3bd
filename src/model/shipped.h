/* The blocks that ship with the program, as they are carried in it.
 *
 * Given what a nursery made of the shipped files when the program was built, packs of each block its name, of
 * a rule what it was compiled to, and the tree of all that stands in it; given that at the start of the
 * program, makes blocks that are known by name and rules that can judge. What stands in a block is read when
 * somebody asks for it (nursery_open), which most runs do for few.
 */
#ifndef MODEL_SHIPPED_H
#define MODEL_SHIPPED_H

#include "base/buffer.h"
#include "model/rule.h"

struct Shipped {
    Slice tree;       /* packed (syntax/tree_pack.h) */
    const Rule *rule; /* RULE: compiled; its block is not set */
};

/* Adds the blocks that stand in a text, of a nursery that is finished, to a buffer in memory. */
void shipped_pack(const Nursery *nursery, const Text *text, Buffer *out);
/* A list of the same blocks, unopened. The bytes are trusted, as only shipped_pack makes them, and must stay.
 */
Block *shipped_unpack(Arena *arena, Names *names, const Text *text, const char *bytes);
/* Reads what stands in such a block. */
void shipped_open(const BuildContext *context, Block *block);

#endif
