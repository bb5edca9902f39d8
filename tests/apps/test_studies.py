"""What docs/studies.md says of the ready studies holds for what they compute."""
import os
import unittest

import xarray

from program import ProgramTest


class Studies(ProgramTest):
    def study(self, name):
        self.succeed("sweep", name, "--output", f"{name}.h5")
        with xarray.open_dataset(os.path.join(self.folder, f"{name}.h5")) as data:
            self.assertTrue((data.status == 0).all())
            return data.load()

    def test_radials(self):
        """Common practice (no source) and Brown, Lewis and Epstein (Proc. IRE 25, 1937), who measured 2 to 113 radials:
        early radials matter most, short ones stop helping after about 15, long ones go on."""
        gain = self.study("radials").gain_from_radio.sel({"ground.soil": "average", "frequency": 14.175e6})
        step = {(a, b): gain.sel(radial_count=b) - gain.sel(radial_count=a) for a, b in [(1, 8), (8, 64), (16, 64)]}
        short, long = {"radial_length": [2, 5]}, {"radial_length": [10, 20]}
        self.assertTrue((step[1, 8] > step[8, 64]).all())
        self.assertTrue((step[1, 8].sel(short) > 2).all())
        self.assertTrue((step[8, 64].sel(radial_length=5) < 0.5))
        self.assertTrue((step[16, 64].sel(short) < 0.5).all())
        self.assertTrue((step[16, 64].sel(long) > 1).all())

    def test_inverted_v_height(self):
        data = self.study("inverted-v-height").sel(band="40m", edge="middle")
        self.assertTrue((data.radiation_efficiency.diff("apex_height") > 0).all())
        average = data.sel({"ground.soil": "average"})
        self.assertLess(float(average.radiation_efficiency.sel(apex_height=3)), 0.2)
        self.assertGreater(float(average.radiation_efficiency.sel(apex_height=10)), 0.5)
        self.assertTrue((average.swr_largest < 3).all())
        self.assertTrue((abs(data.total_wire - 20.6) < 1e-9).all())


if __name__ == "__main__":
    unittest.main()
