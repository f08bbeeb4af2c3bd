/* What the program itself can find, from grammar/findings.def. */
#ifndef MODEL_FINDING_H
#define MODEL_FINDING_H

#include "base/note.h"

typedef struct FindingInfo {
    const char *name;
    Severity severity; /* unless the nursery judges otherwise */
    const char *title;
    const char *meaning;
    const char *remedy;
    const char *example; /* two texts in one: see model/example.h */
} FindingInfo;
extern const FindingInfo finding_table[];
extern const size_t finding_count;

const FindingInfo *finding_find(Slice name); /* NULL */

#endif
