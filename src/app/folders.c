/* SPDX-License-Identifier: GPL-3.0-or-later */

#include "app/folders.h"

/** The id of the settings. */
#define SETTINGS "net.tightbay.Tightbay"

/** data/ of the build folder that the program runs from, if it does; to be freed. */
static char *
build_data(void)
{
    g_autofree char *program = g_file_read_link("/proc/self/exe", NULL);
    g_autofree char *folder = program == NULL ? NULL : g_path_get_dirname(program);

    return folder == NULL ? NULL : g_build_filename(folder, "..", "..", "data", NULL);
}

char *
tb_folders_examples(void)
{
    const char *data = g_getenv("TB_DATA");
    g_autofree char *build = build_data();
    g_autofree char *here = g_build_filename(data != NULL    ? data
                                             : build != NULL ? build
                                                             : "",
                                             "examples", NULL);

    if (g_file_test(here, G_FILE_TEST_IS_DIR))
        return g_steal_pointer(&here);
    return g_file_test(TB_DATA_DIR "/examples", G_FILE_TEST_IS_DIR)
               ? g_strdup(TB_DATA_DIR "/examples")
               : NULL;
}

GSettings *
tb_folders_settings(void)
{
    GSettingsSchemaSource *source = g_settings_schema_source_get_default();
    g_autoptr(GSettingsSchema) schema = NULL;
    g_autofree char *build = build_data();
    g_autoptr(GSettingsSchemaSource) beside =
        build == NULL ? NULL
                      : g_settings_schema_source_new_from_directory(build, source, TRUE, NULL);

    /* a build folder knows its own settings best */
    if (beside != NULL)
        source = beside;
    if (source != NULL)
        schema = g_settings_schema_source_lookup(source, SETTINGS, TRUE);
    if (schema == NULL)
        g_error("the settings %s are not installed", SETTINGS);
    return g_settings_new_full(schema, NULL, NULL);
}
