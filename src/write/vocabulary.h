/* The language's tables as Markdown, for docs/vocabulary.md. */
#ifndef WRITE_VOCABULARY_H
#define WRITE_VOCABULARY_H

#include "base/buffer.h"

void vocabulary_write(Buffer *out);

#endif
