/* Walking through the tables of a plan, stretch by stretch: see tables.h. */
#include "cmd/tables.h"

#include <unistd.h>

static bool visit_table(Load *load, TableFile *file, TableVisit *visit, void *to)
{
    bool more = true;
    PlanTable *table = plan_table_open(load->nursery, file->name, load_read_table, file, job_out_of_memory);
    for (const Plan *plan; more && (plan = plan_table_next(table));) more = visit(to, plan);
    if (plan_table_failed(table)) notes_set_fatal(load->notes);
    plan_table_close(table);
    return more;
}

void tables_visit(Load *load, TableVisit *visit, void *to)
{
    bool more = true;
    for (size_t i = 0; i < load->table_count; i++) {
        TableFile *file = &load->tables[i];
        more = more && visit_table(load, file, visit, to);
        if (file->descriptor >= 0) close(file->descriptor);
    }
}
