/* A tree as bytes, so that what ships with the program need not be parsed at every start. */
#ifndef SYNTAX_TREE_PACK_H
#define SYNTAX_TREE_PACK_H

#include "base/buffer.h"
#include "syntax/tree.h"

/* Adds the tree's bytes to a buffer in memory. */
void tree_pack(const Tree *tree, Buffer *out);
/* The tree again, over the same text. The bytes are trusted: only tree_pack makes them. */
Tree *tree_unpack(Arena *arena, const Text *text, const char *bytes);

#endif
