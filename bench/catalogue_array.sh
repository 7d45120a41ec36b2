#!/usr/bin/env bash
# A catalogue packed by a job array: bench/catalogue_array.sh [LESSONS [SHARES]]
#
# Starts Debian's Slurm (slurm-wlm, munge; installed if missing, root needed) on this one machine in a folder of
# its own, submits one job array whose i-th task packs the i-th of SHARES shares of the folder LESSONS, waits, and
# compares what the tasks made with one run over all lessons. On a cluster only the sbatch lines are needed:
# the folder behind -o must be one that all nodes see.
set -euo pipefail
cd "$(dirname "$0")/.."

readonly lessons="$(realpath "${1:-demos}")"
readonly shares="${2:-3}"
readonly fretloom="$PWD/build/release/src/cli/fretloom"
[[ -x $fretloom ]] || { echo "build first: ./demo --no-serve" >&2; exit 2; }
command -v slurmctld >/dev/null && command -v munged >/dev/null ||
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends slurm-wlm munge

readonly work="$(mktemp -d)"
readonly host="$(hostname -s)"
cleanup() {
  for name in slurmd slurmctld munged; do
    [[ -f $work/$name.pid ]] && kill "$(cat "$work/$name.pid")" 2>/dev/null || true
  done
  rm -rf "$work"
}
trap cleanup EXIT
chmod 755 "$work"
mkdir -m 755 "$work/spool" "$work/state" "$work/munge"

cat >"$work/slurm.conf" <<EOF
ClusterName=one
SlurmctldHost=$host
SlurmUser=root
SlurmctldPort=16817
SlurmdPort=16818
AuthType=auth/munge
AuthInfo=socket=$work/munge/socket
StateSaveLocation=$work/state
SlurmdSpoolDir=$work/spool
SlurmctldPidFile=$work/slurmctld.pid
SlurmdPidFile=$work/slurmd.pid
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
SelectType=select/cons_tres
SelectTypeParameters=CR_Core
ReturnToService=2
MpiDefault=none
NodeName=$host CPUs=$(nproc) State=UNKNOWN
PartitionName=all Nodes=ALL Default=YES State=UP
EOF
export SLURM_CONF="$work/slurm.conf"
head -c 1024 /dev/urandom >"$work/munge/key"
chmod 400 "$work/munge/key"
munged --force --key-file="$work/munge/key" --socket="$work/munge/socket" --pid-file="$work/munged.pid" \
  --log-file="$work/munge/log" --seed-file="$work/munge/seed"
slurmctld
slurmd
for _ in $(seq 50); do
  [[ "$(sinfo -h -o %T 2>/dev/null)" == idle ]] && break
  sleep 0.2
done

cat >"$work/share.sh" <<EOF
#!/bin/sh
exec "$fretloom" pack "$lessons" -o "$work/array" --threads 1 --part "\$SLURM_ARRAY_TASK_ID/$shares"
EOF
begin="$(date +%s%N)"
sbatch --wait --quiet --array="1-$shares" --cpus-per-task=1 --output="$work/task-%a.log" "$work/share.sh"
echo "array of $shares shares: $((($(date +%s%N) - begin) / 1000000)) ms"
begin="$(date +%s%N)"
"$fretloom" pack "$lessons" -o "$work/alone" >/dev/null 2>&1
echo "one run:            $((($(date +%s%N) - begin) / 1000000)) ms"
diff -r "$work/array" "$work/alone"
echo "the shares' packs and index are the same as those of one run"
