/* What the commands share: memory, notes, output, status. */
#ifndef CMD_JOB_H
#define CMD_JOB_H

#include "cmd/files.h"
#include "cmd/load.h"
#include "cmd/options.h"

enum {
    JOB_NOTES = 5000,          /* findings kept; the rest are counted */
    JOB_LISTED_NOTES = 1 << 20 /* where a baseline lists them */
};

typedef struct Job {
    Arena *arena;
    const Options *options;
    Notes *notes;
    Buffer *out;    /* to standard output or the file that --output names */
    Buffer *errors; /* to standard error */
    Replacement replacement;
    bool replacing;
    Day today;
} Job;

ArenaExhausted job_out_of_memory; /* says so and ends the program with status 2: the one exit below main */

/* Opens the output and reads --today. False: told. */
bool job_begin(Job *job, Arena *arena, const Options *options, Buffer *errors);
void job_forget_notes(Job *job); /* an empty queue, as the job began with */
/* Flushes and closes the output; a failure makes the status 2. With trouble before any output, a file named
 * by --output is left as it was. */
int job_end(Job *job, int status);
/* Whether colours are wanted on the output. */
bool job_color(const Job *job);
/* Tells on standard error what is wrong, with the program's name before it. Gives STATUS_TROUBLE. */
int job_trouble(Job *job, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Which of these forms --format names, NULL behind the last; without it the first. -1: told. */
int job_form(Job *job, const char *const *forms);
/* Reads --from and --to; without them the span is open, DAY_NONE. False: told. */
bool job_read_span(Job *job, Day *from, Day *to);
/* Whether a block of that kind has the name that an option gives, if it gives one. False: told. */
bool job_option_names(Job *job, const Nursery *nursery, Option option, BlockKind kind);

/* Tells on standard error what was found beside the work that stands on the output. Gives the status. */
int job_tell_notes(Job *job, const char *command);

/* Puts new bytes into a file that was read as `text`. A file that has changed since, that may not be written
 * or is a symbolic link is left as it is. False: told. */
bool job_rewrite(Job *job, const Text *text, Slice bytes);

int command_check(Job *job);
int check_sources(Job *job); /* its --sources */
int command_tasks(Job *job);
int command_diff(Job *job);
int command_why(Job *job);
int command_load(Job *job);
int command_work(Job *job);
int command_amounts(Job *job);
int command_yield(Job *job);
int command_cost(Job *job);
int command_review(Job *job);
int command_status(Job *job);
int command_explain(Job *job);
int command_new(Job *job);
int command_format(Job *job);
int command_record(Job *job);

#endif
