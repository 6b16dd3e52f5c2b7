/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file store_private.h
 * @brief What asking a store and importing into it share.
 */
#pragma once

#include "study/shelf.h"
#include "study/store.h"

#include <glib.h>
#include <pthread.h>

/** What a file looked like; another look means that it may hold other bytes. */
typedef struct TbStamp {
    uint64_t device, file, size;
    int64_t written, written_part; /**< s and ns: of its bytes */
    int64_t changed, changed_part; /**< s and ns: of anything about it; nobody sets it back */
} TbStamp;

/** What the bytes of a file are. */
typedef struct TbSums {
    char checksum[65]; /**< SHA-256, "" before it was found */
    uint64_t quick;    /**< and a quick one, to see that reading again meets the same bytes */
} TbSums;

struct TbStore {
    int references;
    uint64_t memory;
    TbShelf *shelf; /**< or NULL */
    pthread_mutex_t lock;
    pthread_cond_t change; /**< an import has ended */
    GHashTable *files;     /**< path -> its record; all this under the lock */
    GHashTable *trees;     /**< key -> TbTree */
    uint64_t questions;
    TbStoreCounts counts;
};

/** A tree just built and what it is of. */
typedef struct TbFresh {
    char *key;
    TbTree *tree; /**< reference */
} TbFresh;

/** One file at one place, on its way in. */
typedef struct TbImport {
    TbStore *store;
    const char *path; /**< as the user gave it */
    double unit;
    TbPose placement;
    TbWork *work;
    TbTask *task;
    int64_t began;       /**< s, by the clock that files' times are of */
    TbStamp stamp;       /**< of the file that was read */
    TbSums sums;         /**< known already while the stamp stays the same, or "" */
    TbScanAnswer answer; /**< its tree is a reference */
    TbTree *source;   /**< reference: the tree as it lies in the file; NULL where there is none */
    bool settled;     /**< the answer is the file's and may be remembered */
    TbFresh fresh[2]; /**< trees that were built, for the disk */
    size_t fresh_count;
} TbImport;

/** False, with the reason, where there is no plain file. */
bool tb_store__look_at(const char *path, TbStamp *stamp, TbScanAnswer *answer);

/** The file's descriptor, or -1 with the reason. */
int tb_store__open(const char *path, TbStamp *stamp, TbScanAnswer *answer);

/** Whether an open file still looks like this. */
bool tb_store__has_stamp(int file, TbStamp stamp);

bool tb_store__same_stamp(TbStamp a, TbStamp b);

/** Open, sum, read or load, and place. Takes the store's lock for moments only. */
void tb_store__import(TbImport *import);
