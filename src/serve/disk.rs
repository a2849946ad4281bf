//! Whether the folder of the jobs lies on a disk whose locks can be trusted to keep two writers apart.

use std::path::Path;

/// Kinds of file systems that lie on another machine, or are copied there by a program.
const ELSEWHERE: [&str; 9] = [
    "9p", "afs", "ceph", "cifs", "davfs", "nfs", "nfs4", "smb3", "smbfs",
];

/// The kind of the file system that a folder lies on, where that is on another machine; nothing where the system does not say.
pub(super) fn elsewhere(folder: &Path) -> Option<String> {
    let folder = std::fs::canonicalize(folder).ok()?;
    let mounts = std::fs::read_to_string("/proc/self/mounts").ok()?;
    kind(&mounts, &folder)
}

/// The kind of the innermost file system around a folder, by the system's table: a device, a place and a kind on each line.
fn kind(mounts: &str, folder: &Path) -> Option<String> {
    let lines = mounts.lines().filter_map(|line| {
        let mut words = line.split(' ').skip(1);
        Some((words.next()?.replace("\\040", " "), words.next()?))
    });
    let around = lines.filter(|(place, _)| folder.starts_with(place));
    let (_, kind) = around.max_by_key(|(place, _)| place.len())?;
    let there = ELSEWHERE.contains(&kind) || kind.starts_with("fuse.");
    there.then(|| kind.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const MOUNTS: &str = "/dev/sda / ext4 rw 0 0\nserver:/jobs /srv/the\\040jobs nfs4 rw 0 0\n/dev/sdb /srv/the\\040jobs/here ext4 rw 0 0\nlink /home/copied fuse.link rw 0 0\n";

    #[test]
    fn the_innermost_file_system_counts() {
        let kind = |folder: &str| kind(MOUNTS, Path::new(folder));
        assert_eq!(kind("/srv/the jobs/2026"), Some("nfs4".to_owned()));
        assert_eq!(kind("/srv/the jobs/here/2026"), None);
        assert_eq!(kind("/srv/the jobs elsewhere"), None);
        assert_eq!(kind("/home/copied"), Some("fuse.link".to_owned()));
    }
}
