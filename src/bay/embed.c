/* SPDX-License-Identifier: GPL-3.0-or-later */

/*
 * Runs while building: writes the bytes of files as C arrays.
 * embed OUT NAME FILE [NAME FILE ...]
 */

#include <stdio.h>
#include <stdlib.h>

static int
embed(FILE *out, const char *name, const char *path)
{
    FILE *in = fopen(path, "rb");
    size_t count = 0;
    int c;

    if (in == NULL)
        return -1;
    fprintf(out, "const char tb_data_%s[] = {", name);
    while ((c = getc(in)) != EOF)
        fprintf(out, "%s%d,", count++ % 24 == 0 ? "\n    " : " ", c > 127 ? c - 256 : c);
    fprintf(out, "\n    0};\nconst size_t tb_data_%s_size = %zu;\n", name, count);
    return ferror(in) || fclose(in) != 0 ? -1 : 0;
}

int
main(int argc, char **argv)
{
    FILE *out = argc > 3 ? fopen(argv[1], "w") : NULL;

    if (out == NULL) {
        fprintf(stderr, "embed OUT NAME FILE [NAME FILE ...]\n");
        return EXIT_FAILURE;
    }
    fprintf(out, "/* made by embed.c */\n#include \"bay/data.h\"\n");
    for (int i = 2; i + 1 < argc; i += 2)
        if (embed(out, argv[i], argv[i + 1]) != 0) {
            fprintf(stderr, "embed: %s cannot be read\n", argv[i + 1]);
            return EXIT_FAILURE;
        }
    return fclose(out) == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
