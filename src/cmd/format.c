/* heelcut format: read, lay out, compare, replace.
 *
 * Each file goes by itself: one that cannot be read is told and left as it is, and the others get their form.
 * A file that is in form already is not written.
 */
#include "cmd/folder.h"
#include "cmd/job.h"

#include "syntax/format.h"
#include "write/patch.h"
#include "write/report.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

typedef struct Formatting {
    Job *job;
    size_t files, changed, faulty; /* changed: written, or to be written */
    size_t tables;                 /* passed over */
} Formatting;

static bool asked(const Formatting *formatting, Option option)
{
    return formatting->job->options->value[option] != NULL;
}

static void trouble(Formatting *formatting, const char *name, const char *why)
{
    formatting->files++;
    formatting->faulty++;
    job_trouble(formatting->job, "%s cannot be read: %s", name, why);
}

/* ------------------------------------------------------------------ one file */

static void tell_name(Formatting *formatting, const Text *text)
{
    buffer_escaped(formatting->job->out, slice_of(text->name));
    buffer_char(formatting->job->out, '\n');
}

/* What is done with a text that is not in form. */
static void change(Formatting *formatting, const Text *text, Slice form)
{
    Job *job = formatting->job;
    if (asked(formatting, OPTION_DIFF)) {
        patch_write(job->arena, job->out, text->name, (Slice){text->bytes, text->length}, form);
    } else if (asked(formatting, OPTION_CHECK)) {
        tell_name(formatting, text);
    } else if (!job_rewrite(job, text, form)) {
        formatting->faulty++;
        return;
    } else {
        tell_name(formatting, text);
    }
    formatting->changed++;
}

static void format_text(Formatting *formatting, const Text *text, bool from_input)
{
    Job *job = formatting->job;
    formatting->files++;
    Buffer *out = buffer_in_memory(job->arena);
    FormatResult result = syntax_format(job->arena, text, job->notes, out);
    Slice form = buffer_slice_of(out);
    if (result != FORMAT_DONE) {
        formatting->faulty++;
        if (result == FORMAT_UNSURE)
            job_trouble(
                job,
                "%s: a fault of this program: laid out anew, it would not say the same; it is left as it is",
                text->name);
    } else if (from_input && !asked(formatting, OPTION_DIFF) && !asked(formatting, OPTION_CHECK)) {
        buffer_slice(job->out, form);
    } else if (!slice_equal(form, (Slice){text->bytes, text->length})) {
        change(formatting, text, form);
    }
}

static void format_descriptor(Formatting *formatting, const char *name, int file)
{
    const char *why;
    size_t length;
    Arena *arena = formatting->job->arena;
    ArenaMark mark = arena_mark(arena);
    size_t noted = notes_total(formatting->job->notes);
    char *bytes = file_read(arena, file, TEXT_LIMIT, &length, &why);
    if (file != STDIN_FILENO) close(file);
    if (bytes)
        format_text(formatting, text_new(arena, name, bytes, (uint32_t)length, 1), file == STDIN_FILENO);
    else
        trouble(formatting, name, why);
    if (notes_total(formatting->job->notes) == noted) arena_release(arena, mark);
}

/* ------------------------------------------------------------------ what is named */

static void format_found(void *to, const char *path, int file, const char *why)
{
    if (file < 0)
        trouble(to, path, why);
    else
        format_descriptor(to, path, file);
}

static void format_path(Formatting *formatting, const char *path)
{
    const char *why = NULL;
    int file = -1;
    if (!strcmp(path, "-")) {
        format_descriptor(formatting, path, STDIN_FILENO);
    } else if (path_is_folder(path)) {
        file = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
        if (file < 0)
            trouble(formatting, path, strerror(errno));
        else
            folder_walk(formatting->job->arena, path, file, format_found, formatting);
    } else if (path_ends_with(path, ".csv")) {
        formatting->tables++;
        job_trouble(formatting->job, "%s is a table and has no form to keep: passed over", path);
    } else if (file_is_link(path)) {
        trouble(formatting, path, "it is a symbolic link; name the file it leads to");
    } else {
        file = file_open(path, &why);
        format_found(formatting, path, file, why);
    }
}

/* ------------------------------------------------------------------ the end */

static void tell_count(const Formatting *formatting)
{
    Buffer *errors = formatting->job->errors;
    bool only_told = asked(formatting, OPTION_CHECK) || asked(formatting, OPTION_DIFF);
    size_t in_form = formatting->files - formatting->changed - formatting->faulty;
    buffer_print(errors, "%zu %s: ", formatting->files, formatting->files == 1 ? "file" : "files");
    buffer_print(errors, "%zu in form, %zu %s", in_form, formatting->changed,
                 only_told ? "not in form" : "laid out anew");
    if (formatting->faulty) buffer_print(errors, ", %zu left as it was", formatting->faulty);
    buffer_char(errors, '\n');
}

int command_format(Job *job)
{
    static const char *const here[] = {"."};
    Formatting formatting = {.job = job};
    size_t count = job->options->path_count;
    const char *const *paths = count ? job->options->paths : here;
    for (size_t i = 0; i < (count ? count : 1); i++) format_path(&formatting, paths[i]);
    if (notes_total(job->notes)) report_write_text(job->errors, &(Report){.notes = job->notes});
    if (!formatting.files && !formatting.tables)
        return job_trouble(job, "there is no file of the language here; their names end in .heel");
    bool only_input = count == 1 && !strcmp(paths[0], "-");
    if (!only_input) tell_count(&formatting);
    if (formatting.faulty) return STATUS_TROUBLE;
    bool only_told = asked(&formatting, OPTION_CHECK) || asked(&formatting, OPTION_DIFF);
    return only_told && formatting.changed ? STATUS_FINDINGS : STATUS_CLEAN;
}
