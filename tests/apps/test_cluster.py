"""The job script of docs/cluster.md with a real scheduler (Slurm) on this machine: eight shares, one killed and submitted again."""
import os
import re
import shutil
import signal
import socket
import subprocess
import time
import unittest

from program import PROGRAM, SOURCE, ProgramTest
from test_sweep import MODEL, STUDY, datasets

CONFIGURATION = """
ClusterName=boathouse
SlurmctldHost={host}(127.0.0.1)
SlurmUser=root
AuthType=auth/munge
AuthInfo=socket={folder}/munge.socket
SlurmctldPort={controller}
SlurmdPort={daemon}
ProctrackType=proctrack/pgid
TaskPlugin=task/none
MpiDefault=none
StateSaveLocation={folder}/state
SlurmdSpoolDir={folder}/spool
SlurmctldPidFile={folder}/controller.pid
SlurmdPidFile={folder}/daemon.pid
SlurmctldLogFile={folder}/controller.log
SlurmdLogFile={folder}/daemon.log
JobAcctGatherType=jobacct_gather/none
AccountingStorageType=accounting_storage/none
ReturnToService=2
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
SlurmdParameters=config_overrides
NodeName={host} NodeAddr=127.0.0.1 CPUs={cpus} State=UNKNOWN
PartitionName=lawn Nodes={host} Default=YES MaxTime=INFINITE State=UP
"""


def free_port():
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return one.getsockname()[1]


class Cluster(ProgramTest):
    def setUp(self):
        super().setUp()
        self.daemons = []
        missing = [name for name in ("munged", "slurmctld", "slurmd", "sbatch") if not shutil.which(name)]
        if missing:
            self.skipTest(f"not installed: {', '.join(missing)} (Debian: slurm-wlm, munge)")
        if os.geteuid() != 0:
            self.skipTest("the scheduler is started by root only")
        self.addCleanup(self.stop)
        try:
            self.start()
        except (OSError, subprocess.SubprocessError) as reason:
            self.skipTest(f"the scheduler does not start here: {reason}")

    def start(self):
        folder = self.folder
        for name in ("state", "spool"):
            os.mkdir(os.path.join(folder, name))
        key = os.path.join(folder, "munge.key")
        with open(key, "wb") as file:
            file.write(os.urandom(128))
        os.chmod(key, 0o600)
        host = socket.gethostname().split(".")[0]
        configuration = self.write("slurm.conf", CONFIGURATION.format(
            host=host, folder=folder, controller=free_port(), daemon=free_port(), cpus=os.cpu_count()))
        self.environment = dict(os.environ, SLURM_CONF=configuration, PATH=os.path.dirname(PROGRAM) + ":" + os.environ["PATH"])
        self.daemon("munged", "--foreground", "--force", f"--socket={folder}/munge.socket", f"--key-file={key}",
                    f"--pid-file={folder}/munge.pid", f"--log-file={folder}/munge.log", f"--seed-file={folder}/munge.seed")
        self.wait(lambda: os.path.exists(f"{folder}/munge.socket"), 10)
        self.daemon("slurmctld", "-D", "-f", configuration)
        self.daemon("slurmd", "-D", "-f", configuration, "-N", host)
        self.wait(lambda: "idle" in self.ask("sinfo", "--noheader", "--format=%t"), 30)

    def daemon(self, *arguments):
        self.daemons.append(subprocess.Popen(arguments, env=self.environment, cwd=self.folder, stdout=subprocess.DEVNULL,
                                             stderr=subprocess.DEVNULL))

    def stop(self):
        for daemon in reversed(self.daemons):
            daemon.terminate()
            try:
                daemon.wait(10)
            except subprocess.TimeoutExpired:
                daemon.kill()
                daemon.wait()

    def ask(self, *arguments):
        return subprocess.run(arguments, env=self.environment, cwd=self.folder, capture_output=True, text=True, timeout=30).stdout

    def wait(self, condition, seconds, step=0.1):
        end = time.monotonic() + seconds
        while not condition():
            for daemon in self.daemons:
                if daemon.poll() is not None:
                    raise OSError(f"{daemon.args[0]} ended with {daemon.returncode}")
            if time.monotonic() > end:
                raise OSError(f"nothing after {seconds} s")
            time.sleep(step)

    def kill(self, output):
        """Kills the task that writes this file, as a machine short of memory would."""
        for number in filter(str.isdigit, os.listdir("/proc")):
            try:
                with open(f"/proc/{number}/cmdline", "rb") as file:
                    words = file.read().decode(errors="replace").split("\0")
                if output in words and os.readlink(f"/proc/{number}/cwd") == self.folder:
                    os.kill(int(number), signal.SIGKILL)
                    return
            except OSError:
                continue
        self.fail(f"nothing writes {output}")

    def idle(self):
        return self.ask("squeue", "--noheader").strip() == ""

    def test_array_with_a_killed_task(self):
        with open(os.path.join(SOURCE, "docs", "cluster.md"), encoding="utf-8") as file:
            script = re.search(r"```bash\n(.*?)```", file.read(), re.S).group(1)
        self.write("study.sh", script)
        self.write("wire.toml", MODEL)
        self.write("study.toml", STUDY.replace("points = 5", "points = 120"))
        journal = os.path.join(self.folder, "share-3.h5.journal")
        self.assertIn("Submitted", self.ask("sbatch", "--export=ALL,STUDY=study.toml", "study.sh"))
        self.wait(lambda: os.path.exists(journal), 60, step=0.002)
        self.kill("share-3.h5")
        self.wait(self.idle, 120)
        shares = [os.path.join(self.folder, f"share-{k}.h5") for k in range(1, 9)]
        self.assertEqual([os.path.exists(share) for share in shares], [k != 3 for k in range(1, 9)])
        self.refuse("gather", *[share for share in shares if os.path.exists(share)], "--output", "all.h5",
                    says="in none of these files")
        self.ask("sbatch", "--export=ALL,STUDY=study.toml", "--array=3", "study.sh")
        self.wait(self.idle, 60)
        self.succeed("gather", *shares, "--output", "all.h5")
        self.succeed("sweep", "study.toml", "--output", "whole.h5")
        self.assertEqual(datasets(os.path.join(self.folder, "all.h5")), datasets(os.path.join(self.folder, "whole.h5")))


if __name__ == "__main__":
    unittest.main()
