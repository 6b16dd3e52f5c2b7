/* SPDX-License-Identifier: GPL-3.0-or-later */

/**
 * @file small_kit.h
 * @brief A small bay that has everything, as text.
 */
#pragma once

/** Two ducts on the ports of a turbo and of a block, a line, obstacles on both mounts, hot states
 * and a shifted variant: every sort of dependence in little. */
static const char small_kit[] =
    "<bay version='1' title='Small kit' revision='A'>"
    "<revisions><revision id='A' who='t' when='2026-01-02'>made</revision></revisions>"
    "<mounts><mount id='body'/><mount id='engine' parent='body' datum='55 0 -45'/></mounts>"
    "<materials><material id='iron' density='7000' expansion='13.5'/></materials>"
    "<ports>"
    "<port id='out' owner='turbo' housing='turbine' at='90 0 0' flow='1 0 0'>"
    "<opening width='52' height='52'/></port>"
    "<port id='in' owner='turbo' housing='turbine' at='50 40 -70' flow='0 -0.8 0.6'>"
    "<opening width='36' height='36'/></port>"
    "<port id='cat' owner='pot' at='420 60 -260' flow='0.6 0.1 -0.8'>"
    "<opening width='70' height='70'/></port>"
    "<port id='head-1' owner='head' at='-40 150 -130' flow='1 0 -0.1'>"
    "<opening width='34' height='34'/></port>"
    "</ports>"
    "<joints><joint id='j-out' a='out' b='out' kind='v-band' leave-out='60'>"
    "<ring kind='clamp' diameter='90' from='-9' to='9'/></joint>"
    "<joint id='j-cat' a='cat' b='cat' kind='v-band' leave-out='70'/></joints>"
    "<items>"
    "<turbo id='turbo' class='hot' mount='engine' material='iron' at='0 0 0' shaft='1 0.05 0'>"
    "<housing of='turbine' turn='0' limit='-40 40'/>"
    "<rod of='turbine' from='20' to='80' radius='50'/>"
    "<rod of='centre' from='-40' to='20' radius='38'/></turbo>"
    "<duct id='outlet' class='hot' mount='engine' material='iron' wall='4' role='outlet'>"
    "<path><knot at='190 20 -40'/><knot at='290 40 -140'/></path>"
    "<start port='out'/><end port='cat'/>"
    "<section at='0' width='52' height='52'/>"
    "<section at='180' kind='rounded' width='70' height='44' corner='21'/>"
    "<section at='0' from-end='yes' width='70' height='70'/></duct>"
    "<duct id='runner' class='hot' mount='engine' material='iron' wall='2.5' role='runner'>"
    "<path><knot at='10 120 -150'/></path><start port='head-1'/><end port='in'/>"
    "<section at='0' width='34' height='34'/><section at='0' from-end='yes' width='36' "
    "height='36'/></duct>"
    "<rod id='pot' class='hot' mount='engine' material='iron' a='425 61 -266' b='500 72 -366' "
    "radius='55'/>"
    "<block id='head' class='structure' mount='engine' low='-240 -200 -200' high='-45 260 -60'/>"
    "<block id='rail' class='structure' mount='body' low='100 -160 -120' high='600 -90 -20'/>"
    "<ball id='joint' class='moving' mount='body' at='280 150 -20' radius='28'/>"
    "<line id='brake' class='brake' role='brake' mount='body' diameter='4.75'>"
    "<path><knot at='60 -120 60'/><knot at='200 -60 70'/><knot at='330 60 40'/>"
    "<knot at='420 200 0'/></path></line>"
    "</items>"
    "<keeps>"
    "<keep id='k1' class-a='hot' class-b='structure' margin='1'><wanted state='cold' gap='12'/>"
    "<wanted state='hot' gap='8'/></keep>"
    "<keep id='k2' class-a='hot' class-b='brake' margin='1'><wanted state='cold' gap='30'/>"
    "<wanted state='hot' gap='25'/></keep>"
    "<keep id='k3' class-a='hot' class-b='moving'><wanted state='cold' gap='25'/></keep>"
    "<keep id='k4' class-a='hot' class-b='hot'><wanted state='cold' gap='6'/></keep>"
    "</keeps>"
    "<states><state id='cold' kind='cold'/><state id='hot' kind='hot'>"
    "<warm class='hot' mount='engine' growth='620'/></state></states>"
    "<variants><variant id='low'/><variant id='tall'><shift mount='engine' by='0 0 12'/></variant>"
    "</variants></bay>";
