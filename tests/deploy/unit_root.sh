#!/bin/sh
# The first process of the private namespaces of full_units.sh: a root of its own in memory, in which
# only /usr of the machine is seen, and that read-only; then systemd as process 1.
# Usage: unit_root.sh ROOT FILES OUTER    (an empty folder; what to put at /units; the mount namespace that must
# not be touched)
set -eu
root=$1 files=$2 outer=$3
if [ $$ != 1 ] || [ "$(readlink /proc/self/ns/mnt)" = "$outer" ]; then
    echo "this is for namespaces of its own"
    exit 1
fi
mount --make-rprivate /
mount -t tmpfs -o mode=755 root "$root"
cd "$root"
mkdir usr etc var var/log var/tmp tmp run root home proc sys dev units srv
mount --bind /usr usr
mount -o remount,bind,ro,nosuid usr
for link in bin sbin lib lib64; do ln -s "usr/$link" $link; done
cp -R "$files/." units/
chmod -R a+rX units
mount -t tmpfs -o mode=755,nosuid,nodev run run # a mount of its own, or systemd makes one over it
mkdir -p run/systemd/system
cp -R units/system/. run/systemd/system/
printf 'root:x:0:0::/root:/bin/sh\nnobody:x:65534:65534::/:/bin/false\n' >etc/passwd
printf 'root:x:0:\nnogroup:x:65534:\n' >etc/group
printf 'passwd: files systemd\ngroup: files systemd\n' >etc/nsswitch.conf
: >etc/machine-id
mount -t proc -o nosuid,nodev,noexec proc proc
mount --bind proc/sys proc/sys
mount -o remount,bind,ro proc/sys
mount -t sysfs -o ro,nosuid,nodev,noexec sysfs sys
mount -t cgroup2 -o nosuid,nodev,noexec cgroup sys/fs/cgroup
mount -t tmpfs -o mode=755 dev dev
for node in null:1:3 zero:1:5 full:1:7 random:1:8 urandom:1:9 tty:5:0; do
    number=${node#*:}
    mknod -m 666 dev/${node%%:*} c ${number%:*} ${number#*:}
done
mkdir dev/shm dev/pts dev/mqueue dev/hugepages old
ln -s pts/ptmx dev/ptmx
pivot_root . old
umount -l /old
rmdir /old
cd /
export container=tiptail
exec setpriv --bounding-set -sys_boot,-sys_module,-sys_time,-sys_rawio,-syslog \
    /lib/systemd/systemd --system --unit=tiptail-test.target --log-target=null --show-status=no
