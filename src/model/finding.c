/* The table of findings, and finding a row of it by name. */
#include "model/finding.h"

const FindingInfo finding_table[] = {
#define FINDING(name, severity, title, meaning, remedy, example)                                             \
    {name, SEVERITY_##severity, title, meaning, remedy, example},
#include "findings.def"
#undef FINDING
};
const size_t finding_count = sizeof finding_table / sizeof *finding_table;

const FindingInfo *finding_find(Slice name)
{
    for (size_t i = 0; i < finding_count; i++)
        if (slice_is(name, finding_table[i].name)) return &finding_table[i];
    return NULL;
}
