/* Given the files that ship, of rules and of words, writes the C source that carries them in the program; the
 * contract is src/model/builtin.h.
 *
 * Each file becomes its bytes, which findings quote, and its blocks, so that no start of the program reads it
 * or compiles its rules. The examples stay in the bytes and out of the blocks: they are proven by the tests,
 * not at every start. A file with a fault in it ends the build, with the message.
 */
#include "base/vec.h"
#include "model/builtin.h"
#include "model/shipped.h"
#include "syntax/read.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static _Noreturn void give_up(const char *what, const char *why)
{
    fprintf(stderr, "embed: %s: %s\n", what, why);
    exit(EXIT_FAILURE);
}

static void no_memory(size_t wanted)
{
    (void)wanted;
    give_up("memory", "there is none left");
}

static Text *read_file(Arena *arena, const char *path)
{
    VEC(char) bytes = {0};
    FILE *file = fopen(path, "rb");
    if (!file) give_up(path, "it cannot be opened");
    for (int c; (c = getc(file)) != EOF;) VEC_PUSH(arena, &bytes, (char)c);
    if (ferror(file)) give_up(path, "it cannot be read");
    fclose(file);
    return text_new(arena, path, bytes.count ? bytes.at : "", (uint32_t)bytes.count, 1);
}

static void give_up_at_note(Notes *notes)
{
    size_t count;
    Note *const *told = notes_sorted(notes, &count);
    if (!count) return;
    Span span = told[0]->place[0].span;
    fprintf(stderr, "%s:%u: ", span.text->name, text_position(span.text, span.begin).line);
    give_up(told[0]->name, told[0]->message);
}

static bool is_example(const Item *item)
{
    return item->kind == ITEM_BLOCK && (slice_is(item->field, "breaks") || slice_is(item->field, "passes") ||
                                        slice_is(item->field, "undecided"));
}

static void leave_examples_out(Item *items)
{
    for (Item *item = items; item; item = item->next)
        for (Item **link = &item->first; *link;)
            if (is_example(*link))
                *link = (*link)->next;
            else
                link = &(*link)->next;
}

/* One by one, because a C compiler need not take a string of more than 4,095; as characters, because whether
 * those have a sign hangs on the machine. */
static void write_bytes(const char *name, size_t number, Slice bytes)
{
    printf("static const char %s_%zu[] = {", name, number);
    for (size_t i = 0; i < bytes.length; i++)
        printf("%s'\\%03o',", i % 16 ? "" : "\n    ", (unsigned)(unsigned char)bytes.at[i]);
    puts("0};\n");
}

static void write_lines(size_t number, const Text *text)
{
    printf("static const uint32_t lines_%zu[] = {", number);
    for (size_t i = 0; i < text->line_count; i++)
        printf("%s%u,", i % 16 ? "" : "\n    ", (unsigned)text->lines[i]);
    puts("};\n");
}

int main(int count, char **paths)
{
    Arena *arena = arena_new(no_memory);
    VEC(const Text *) texts = {0};
    Notes *notes = notes_new(arena, 1);
    Nursery *nursery = nursery_new(arena, notes);
    for (int i = 1; i < count; i++) {
        const Text *text = read_file(arena, paths[i]);
        Tree *tree = syntax_read(arena, text, notes);
        leave_examples_out(tree->first);
        nursery_add(nursery, tree, true);
        VEC_PUSH(arena, &texts, text);
    }
    nursery_finish(nursery);
    give_up_at_note(notes);
    puts("#include \"model/builtin.h\"\n");
    for (size_t i = 0; i < texts.count; i++) {
        Buffer *packed = buffer_in_memory(arena);
        shipped_pack(nursery, texts.at[i], packed);
        write_bytes("bytes", i, (Slice){texts.at[i]->bytes, texts.at[i]->length});
        write_bytes("blocks", i, buffer_slice_of(packed));
        write_lines(i, texts.at[i]);
    }
    puts("const struct BuiltinFile builtin_files[] = {");
    for (size_t i = 0; i < texts.count; i++) {
        const char *folder = strchr(texts.at[i]->name, '/'); /* protocols/rules/water.heel */
        printf("    {{\"%s\", bytes_%zu, %u, 1, true, lines_%zu, %u}, blocks_%zu},\n",
               folder ? folder + 1 : texts.at[i]->name, i, (unsigned)texts.at[i]->length, i,
               (unsigned)texts.at[i]->line_count, i);
    }
    puts("    {{0}, NULL}, /* keeps the table lawful when there is no file */\n};");
    printf("const unsigned builtin_file_count = %u;\n", (unsigned)texts.count);
    arena_free(arena);
    if (fflush(stdout) != 0) give_up("output", "it cannot be written");
    return EXIT_SUCCESS;
}
