/* Beginning and ending a command: the output is written whole or the status says otherwise. */
#include "cmd/job.h"

#include "write/report.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

void job_out_of_memory(size_t wanted)
{
    static const char message[] = "heelcut: out of memory\n";
    (void)wanted;
    if (write(STDERR_FILENO, message, sizeof message - 1) < 0) errno = 0; /* nobody is left to tell */
    _exit(STATUS_TROUBLE);
}

static bool read_day(Job *job, Option option, const char *name, Day *day)
{
    *day = DAY_NONE;
    const char *text = job->options->value[option];
    if (!text || options_date(text, day)) return true;
    job_trouble(job, "--%s takes a date, as 18 Jun 2027 or 2027-06-18, not '%s'", name, text);
    return false;
}

int job_form(Job *job, const char *const *forms)
{
    const char *word = job->options->value[OPTION_FORMAT], *list = "";
    for (int i = 0; forms[i]; i++) {
        if (!word || !strcmp(forms[i], word)) return i;
        list = arena_print(job->arena, "%s%s%s", list, !i ? "" : forms[i + 1] ? ", " : " or ", forms[i]);
    }
    job_trouble(job, "--format takes %s, not '%s'", list, word);
    return -1;
}

bool job_read_span(Job *job, Day *from, Day *to)
{
    if (!read_day(job, OPTION_FROM, "from", from) || !read_day(job, OPTION_TO, "to", to)) return false;
    if (*from == DAY_NONE || *to == DAY_NONE || *from <= *to) return true;
    job_trouble(job, "--to is before --from");
    return false;
}

bool job_option_names(Job *job, const Nursery *nursery, Option option, BlockKind kind)
{
    const char *text = job->options->value[option];
    Name name = text ? names_find(nursery->names, slice_of(text)) : NULL;
    if (!text || (name && nursery_find(nursery, kind, name))) return true;
    const char *near = nursery_nearest(nursery, kind, slice_of(text));
    job_trouble(job, "there is no %s '%s'%s%s", block_types[kind].spelling, text, near ? "; " : "",
                near ? near : "");
    return false;
}

int job_tell_notes(Job *job, const char *command)
{
    if (!notes_total(job->notes)) return STATUS_CLEAN;
    Report report = {.notes = job->notes, .command = command};
    report_write_text(job->errors, &report);
    buffer_flush(job->errors);
    if (notes_fatal(job->notes)) return STATUS_TROUBLE;
    return notes_count(job->notes, SEVERITY_ERROR) ? STATUS_FINDINGS : STATUS_CLEAN;
}

int job_trouble(Job *job, const char *format, ...)
{
    char text[1024];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    buffer_text(job->errors, "heelcut: ");
    buffer_escaped(job->errors, slice_of(text));
    buffer_char(job->errors, '\n');
    buffer_flush(job->errors);
    return STATUS_TROUBLE;
}

static Day clock_today(void)
{
    time_t now = time(NULL);
    struct tm local;
    Day day;
    if (now == (time_t)-1 || !localtime_r(&now, &local) ||
        !day_make(local.tm_year + 1900, local.tm_mon + 1, local.tm_mday, &day))
        return DAY_NONE;
    return day;
}

void job_forget_notes(Job *job)
{
    bool lists = job->options->value[OPTION_BASELINE] || job->options->value[OPTION_WRITE_BASELINE];
    job->notes = notes_new(job->arena, lists ? JOB_LISTED_NOTES : JOB_NOTES);
}

bool job_begin(Job *job, Arena *arena, const Options *options, Buffer *errors)
{
    *job = (Job){.arena = arena, .options = options, .errors = errors};
    job_forget_notes(job);
    const char *today = options->value[OPTION_TODAY], *color = options->value[OPTION_COLOR],
               *path = options->value[OPTION_OUTPUT], *why;
    if (!today) {
        job->today = clock_today();
    } else if (!options_date(today, &job->today)) {
        job_trouble(job, "--today takes a date, as 18 Jun 2027 or 2027-06-18, not '%s'", today);
        return false;
    }
    if (color && strcmp(color, "auto") && strcmp(color, "always") && strcmp(color, "never")) {
        job_trouble(job, "--color takes auto, always or never, not '%s'", color);
        return false;
    }
    int descriptor = STDOUT_FILENO;
    if (path) {
        if (!replacement_begin(arena, &job->replacement, path, &why)) {
            job_trouble(job, "%s cannot be written: %s", path, why);
            return false;
        }
        job->replacing = true;
        descriptor = job->replacement.descriptor;
    }
    job->out = buffer_to_file(arena, descriptor);
    return true;
}

/* Trouble came before the first byte: there is nothing to put in the place of what stands there. */
static bool has_nothing_to_keep(const Job *job, int status)
{
    struct stat file;
    return status == STATUS_TROUBLE && fstat(job->replacement.descriptor, &file) == 0 && file.st_size == 0;
}

int job_end(Job *job, int status)
{
    const char *path = job->options->value[OPTION_OUTPUT], *why;
    bool written = buffer_flush(job->out);
    int failure = errno;
    if (!written)
        status = job_trouble(job, "%s cannot be written: %s", path ? path : "the output", strerror(failure));
    if (!job->replacing) return status;
    if (!written || has_nothing_to_keep(job, status))
        replacement_give_up(&job->replacement);
    else if (!replacement_end(&job->replacement, &why))
        status = job_trouble(job, "%s cannot be written: %s", path, why);
    return status;
}

bool job_color(const Job *job)
{
    const char *wish = job->options->value[OPTION_COLOR];
    if (wish && !strcmp(wish, "always")) return true;
    if (wish && !strcmp(wish, "never")) return false;
    const char *no_color = getenv("NO_COLOR");
    return !(no_color && *no_color) && !job->replacing && isatty(STDOUT_FILENO);
}

/* ------------------------------------------------------------------ files that are written anew */

static bool is_unchanged(Job *job, const Text *text)
{
    const char *why;
    size_t length = 0;
    int file = file_open(text->name, &why);
    ArenaMark mark = arena_mark(job->arena);
    char *bytes = file < 0 ? NULL : file_read(job->arena, file, TEXT_LIMIT, &length, &why);
    if (file >= 0) close(file);
    bool unchanged = bytes && length == text->length && !memcmp(bytes, text->bytes, length);
    arena_release(job->arena, mark);
    return unchanged;
}

bool job_rewrite(Job *job, const Text *text, Slice bytes)
{
    Replacement replacement;
    const char *why;
    if (!is_unchanged(job, text)) {
        job_trouble(job, "%s has changed since it was read, and is left as it is", text->name);
        return false;
    }
    if (file_is_link(text->name)) {
        why = "it is a symbolic link; name the file it leads to";
    } else if (access(text->name, W_OK) < 0) {
        why = strerror(errno);
    } else if (replacement_begin(job->arena, &replacement, text->name, &why)) {
        Buffer *out = buffer_to_file(job->arena, replacement.descriptor);
        buffer_slice(out, bytes);
        if (buffer_flush(out) && replacement_end(&replacement, &why)) return true;
        if (buffer_failed(out)) {
            why = strerror(errno);
            replacement_give_up(&replacement);
        }
    }
    job_trouble(job, "%s cannot be written: %s", text->name, why);
    return false;
}
