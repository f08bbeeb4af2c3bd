/* heelcut: which command, with what memory, and how it ends. */
#include "cmd/job.h"

#include <signal.h>
#include <unistd.h>

static int help(const Options *options, Buffer *out, Buffer *errors)
{
    Command command = options->command == COMMAND_HELP ? COMMAND_NONE : options->command;
    if (options->value[OPTION_VERSION]) {
        buffer_text(out, "heelcut " HEELCUT_VERSION "\n");
    } else if (options->value[OPTION_MAN]) {
        options_manual(out);
    } else {
        if (options->command == COMMAND_HELP && options->path_count &&
            !(command = options_command(options->paths[0], errors)))
            return STATUS_TROUBLE;
        options_help(out, command);
    }
    return STATUS_CLEAN;
}

static int run_command(Arena *arena, const Options *options, Buffer *errors)
{
    Job job;
    if (!job_begin(&job, arena, options, errors)) return STATUS_TROUBLE;
    bool asks_help =
        options->command == COMMAND_HELP || options->value[OPTION_HELP] || options->value[OPTION_VERSION];
    static int (*const commands[COMMANDS])(Job *) = {
        [COMMAND_CHECK] = command_check,     [COMMAND_TASKS] = command_tasks,
        [COMMAND_DIFF] = command_diff,       [COMMAND_WHY] = command_why,
        [COMMAND_LOAD] = command_load,       [COMMAND_WORK] = command_work,
        [COMMAND_AMOUNTS] = command_amounts, [COMMAND_YIELD] = command_yield,
        [COMMAND_COST] = command_cost,       [COMMAND_REVIEW] = command_review,
        [COMMAND_FORMAT] = command_format,   [COMMAND_EXPLAIN] = command_explain,
        [COMMAND_NEW] = command_new,         [COMMAND_RECORD] = command_record,
        [COMMAND_STATUS] = command_status};
    int status = asks_help ? help(options, job.out, errors) : commands[options->command](&job);
    return job_end(&job, status);
}

int main(int count, char **arguments)
{
    signal(SIGPIPE, SIG_IGN); /* a reader that goes away is a failed write, with a message and a status */
    signal(SIGXFSZ, SIG_IGN);
    Arena *arena = arena_new(job_out_of_memory);
    Buffer *errors = buffer_to_file(arena, STDERR_FILENO);
    Options options;
    int status = options_read(arena, count - 1, arguments + 1, &options, errors)
                     ? run_command(arena, &options, errors)
                     : STATUS_TROUBLE;
    buffer_flush(errors);
    arena_free(arena);
    return status;
}
