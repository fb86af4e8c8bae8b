"""Sixty invented combine points, four passes of fifteen, as CSV; prints to stdout."""

import math

print("long,lat,mass_lb_s,seconds,dist_in,moist_pct,time,load,head,pass,elev_ft")
LAT, LONG = 43.91, -93.98
time = 36000.0
for track in range(4):
    for i in range(15):
        step = i if track % 2 == 0 else 14 - i
        at_lat = LAT + step * 2.1 / 111_110.0
        at_long = LONG + track * 9.144 / 80_250.0 + math.sin(step) * 1e-7
        mass = 17.0 + 3.0 * math.sin(0.7 * (15 * track + i)) + 0.0137 * i
        dist = 82.0 + 1.5 * math.cos(1.3 * i)
        moist = 18.25 - 0.031 * track + 0.4 * math.sin(0.21 * i)
        load = "Süd 2" if track > 1 else "North, 1"
        cell = f'"{load}"' if "," in load else load
        head = "up" if i == 14 else "down"
        elev = 1031.5 + 0.25 * step
        print(
            f"{at_long:.9f},{at_lat:.9f},{mass:.5f},1,{dist:.3f},{moist:.3f},{time:.1f},{cell},{head},{track + 1},{elev:.2f}"
        )
        time += 1.0
    time += 20.0
