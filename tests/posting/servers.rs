//! Real servers on this machine alone, each with its own folder, a port of its own and keys that are thrown away: object
//! storage (`moto` of PyPI, which speaks S3), SFTP (`sshd` of Debian's OpenSSH), WebDAV (Debian's Apache).

use crate::builder::tools;
use std::fs;
use std::net::{TcpListener, TcpStream};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// What is never to be seen anywhere: the secrets of the places.
pub const ACCESS: &str = "CANARYACCESSKEY01";
pub const SECRET: &str = "canary-secret-key-7f31";
pub const PASSWORD: &str = "canary-password-9c44";

/// A port that nobody listens at.
pub fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

fn wait_for(port: u16, server: &mut Child, what: &str) {
    let begun = Instant::now();
    while TcpStream::connect(("127.0.0.1", port)).is_err() {
        if let Some(status) = server.try_wait().unwrap() {
            panic!("{what} ended with {status}");
        }
        assert!(begun.elapsed() < Duration::from_secs(60), "{what} does not listen");
        sleep(Duration::from_millis(30));
    }
}

fn ended(child: &mut Child) {
    let _ = child.kill();
    let _ = child.wait();
}

/// A server and all that it began, the server first (proc(5): `stat` has the parent behind the name in brackets).
fn family(server: &Child) -> Vec<u32> {
    let entries = fs::read_dir("/proc").unwrap().flatten();
    let stats = entries.filter_map(|entry| fs::read_to_string(entry.path().join("stat")).ok());
    let all: Vec<(u32, u32)> = stats
        .filter_map(|stat| {
            let parent = stat.rsplit_once(')')?.1.split_whitespace().nth(1)?.parse().ok()?;
            Some((stat.split_whitespace().next()?.parse().ok()?, parent))
        })
        .collect();
    let mut family = vec![server.id()];
    let mut at = 0;
    while let Some(one) = family.get(at).copied() {
        family.extend(all.iter().filter(|(_, parent)| *parent == one).map(|(id, _)| *id));
        at += 1;
    }
    family
}

fn tell_family(server: &Child, signal: &str) {
    let ids = family(server);
    let ids = ids.iter().map(u32::to_string);
    let _ = Command::new("kill").arg(format!("-{signal}")).args(ids).stderr(Stdio::null()).status();
}

/// Ends a server and all that it began at once, as if the power were cut.
fn cut(server: &mut Child) {
    // Stopped first, so that nobody begins anything meanwhile.
    tell_family(server, "STOP");
    tell_family(server, "KILL");
    let _ = server.wait();
}

/// S3-compatible object storage with one bucket.
pub struct Storage {
    server: Child,
    pub port: u16,
}

pub const BUCKET: &str = "my-studio";

impl Storage {
    pub fn start() -> Storage {
        Storage::on(free_port())
    }

    fn on(port: u16) -> Storage {
        let mut command = tools::python();
        command.args(["-m", "moto.server", "-H", "127.0.0.1", "-p", &port.to_string()]);
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let mut server = command.spawn().expect("Python runs");
        wait_for(port, &mut server, "moto (run `bash tests/all.sh`, which installs it)");
        let storage = Storage { server, port };
        storage.asked("make", &[]);
        storage
    }

    pub fn cut_off(&mut self) {
        cut(&mut self.server);
    }

    /// It comes back with an empty bucket.
    pub fn again(&mut self) {
        *self = Storage::on(self.port);
    }

    pub fn endpoint(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Asks it through another client (`boto3` of PyPI).
    fn asked(&self, what: &str, rest: &[&str]) -> String {
        let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/oracle/bucket.py");
        tools::printed(tools::python().arg(script).args([what, &self.endpoint(), BUCKET]).args(rest))
    }

    /// Every object: its name, the SHA-256 of its bytes, and its headers in one line.
    pub fn objects(&self) -> Vec<(String, String, String)> {
        let told = self.asked("dump", &[]);
        let parts = |line: &str| {
            let mut parts = line.splitn(3, '\t').map(str::to_owned);
            Some((parts.next()?, parts.next()?, parts.next()?))
        };
        told.lines().filter_map(parts).collect()
    }

    /// All bytes of all objects, for a search.
    pub fn everything(&self, into: &Path) {
        self.asked("save", &[into.to_str().unwrap()]);
    }

    /// Puts an object as a stranger would.
    pub fn put(&self, name: &str, text: &str) {
        self.asked("put", &[name, text]);
    }
}

impl Drop for Storage {
    fn drop(&mut self) {
        ended(&mut self.server);
    }
}

/// A web space reached by SFTP, run by whoever runs the tests.
pub struct Sftp {
    folder: TempDir,
    server: Child,
    pub port: u16,
}

impl Sftp {
    pub fn start() -> Sftp {
        Sftp::with("internal-sftp")
    }

    /// That only shows what it has.
    pub fn that_takes_nothing() -> Sftp {
        Sftp::with("internal-sftp -R")
    }

    fn with(subsystem: &str) -> Sftp {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        for key in ["host", "mine"] {
            tools::printed(
                Command::new("ssh-keygen").args(["-q", "-t", "ed25519", "-N", "", "-f"]).arg(at(key)),
            );
        }
        fs::copy(at("mine.pub"), at("authorized")).unwrap();
        let port = free_port();
        let settings = format!(
            "Port {port}\nListenAddress 127.0.0.1\nHostKey {}\nAuthorizedKeysFile {}\nPidFile none\nUsePAM no\n\
             StrictModes no\nPasswordAuthentication no\nPermitRootLogin prohibit-password\nMaxStartups 100\n\
             Subsystem sftp {subsystem}\n",
            at("host").display(),
            at("authorized").display()
        );
        fs::File::create(at("settings"))
            .and_then(|mut f| std::io::Write::write_all(&mut f, settings.as_bytes()))
            .unwrap();
        let known = format!("[127.0.0.1]:{port} {}", fs::read_to_string(at("host.pub")).unwrap());
        write(&at("known"), &known);
        // The owner's own settings and known hosts are left out of it.
        fs::create_dir(at("bin")).unwrap();
        let ssh = format!(
            "#!/bin/sh\nexec /usr/bin/ssh -F /dev/null -o UserKnownHostsFile={} -o GlobalKnownHostsFile=/dev/null \"$@\"\n",
            at("known").display()
        );
        write(&at("bin/ssh"), &ssh);
        fs::set_permissions(at("bin/ssh"), fs::Permissions::from_mode(0o755)).unwrap();
        fs::create_dir(at("state")).unwrap();
        fs::create_dir(at("site")).unwrap();
        // What it separates its rights in, where it runs with all of them.
        let _ = fs::create_dir_all("/run/sshd");
        let server = Sftp::serve(&folder, port, "unlimited");
        Sftp { folder, server, port }
    }

    /// Where no file may grow beyond 256 KiB, until it is cut off and comes back.
    pub fn without_room() -> Sftp {
        let mut sftp = Sftp::start();
        cut(&mut sftp.server);
        sftp.server = Sftp::serve(&sftp.folder, sftp.port, "512");
        sftp
    }

    /// `largest` is the size that a file may have, in blocks of 512 bytes (`ulimit` of POSIX).
    fn serve(folder: &TempDir, port: u16, largest: &str) -> Child {
        let sshd = if Path::new("/usr/sbin/sshd").exists() { "/usr/sbin/sshd" } else { "sshd" };
        let mut command = Command::new("sh");
        command.args(["-c", "trap '' XFSZ; ulimit -f \"$1\"; shift; exec \"$@\"", "sh", largest, sshd]);
        command.args(["-D", "-e", "-f"]).arg(folder.path().join("settings"));
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let mut server =
            command.spawn().unwrap_or_else(|e| panic!("`sshd` does not run ({e}): run `bash tests/all.sh`"));
        wait_for(port, &mut server, "sshd");
        server
    }

    pub fn cut_off(&mut self) {
        cut(&mut self.server);
    }

    pub fn again(&mut self) {
        self.server = Sftp::serve(&self.folder, self.port, "unlimited");
    }

    /// From now on it says nothing, and then goes on as if nothing had been.
    pub fn falls_silent(&self, silent: bool) {
        tell_family(&self.server, if silent { "STOP" } else { "CONT" });
    }

    /// The folder that the site goes into.
    pub fn site(&self) -> PathBuf {
        self.folder.path().join("site")
    }

    pub fn key(&self) -> PathBuf {
        self.folder.path().join("mine")
    }

    /// What the program's surroundings must be to meet this host alone.
    pub fn surroundings(&self) -> Vec<(String, String)> {
        let bin = self.folder.path().join("bin");
        let path = format!("{}:{}", bin.display(), std::env::var("PATH").unwrap());
        let state = self.folder.path().join("state").display().to_string();
        vec![("PATH".to_owned(), path), ("XDG_STATE_HOME".to_owned(), state)]
    }

    /// Forgets the host, as if it had never been met.
    pub fn forget(&self) {
        write(&self.folder.path().join("known"), "");
    }
}

impl Drop for Sftp {
    fn drop(&mut self) {
        tell_family(&self.server, "CONT");
        ended(&mut self.server);
    }
}

pub fn write(path: &Path, text: &str) {
    let file = fs::File::create(path);
    file.and_then(|mut file| std::io::Write::write_all(&mut file, text.as_bytes())).unwrap();
}

/// A WebDAV share behind a password. (With Apache's `mod_dir` a folder that holds an `index.html` answers no PROPFIND.)
pub struct Webdav {
    folder: TempDir,
    server: Child,
    pub port: u16,
}

/// The user of the share.
pub const USER: &str = "studio";

impl Webdav {
    pub fn start() -> Webdav {
        Webdav::on(free_port(), None)
    }

    /// With a folder of its own for the site.
    pub fn on(port: u16, site: Option<&Path>) -> Webdav {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        let site = site.map_or_else(|| at("site"), Path::to_owned);
        fs::create_dir_all(&site).unwrap();
        fs::create_dir(at("locks")).unwrap();
        let script = "import base64, hashlib, sys; print('{SHA}' + base64.b64encode(hashlib.sha1(sys.argv[1].encode()).digest()).decode())";
        let hashed = tools::printed(tools::python().args(["-c", script, PASSWORD]));
        write(&at("users"), &format!("{USER}:{hashed}"));
        let modules: String = [
            ("mpm_event", "mpm_event"),
            ("authn_core", "authn_core"),
            ("authn_file", "authn_file"),
            ("authz_core", "authz_core"),
            ("authz_user", "authz_user"),
            ("auth_basic", "auth_basic"),
            ("mime", "mime"),
            ("dav", "dav"),
            ("dav_fs", "dav_fs"),
        ]
        .iter()
        .map(|(name, file)| format!("LoadModule {name}_module /usr/lib/apache2/modules/mod_{file}.so\n"))
        .collect();
        let settings = format!(
            "ServerName localhost\nListen 127.0.0.1:{port}\n{modules}PidFile {0}/pid\nErrorLog {0}/errors\nDocumentRoot {1}\n\
             TypesConfig /etc/mime.types\nDavLockDB {0}/locks/db\n\
             <Directory {1}>\nDav on\nAuthType Basic\nAuthName site\nAuthUserFile {0}/users\nRequire valid-user\n</Directory>\n",
            folder.path().display(),
            site.display()
        );
        write(&at("settings"), &settings);
        owned_by_nobody(&[folder.path(), &at("locks"), &site]);
        let server = Webdav::serve(folder.path(), port);
        Webdav { folder, server, port }
    }

    fn serve(folder: &Path, port: u16) -> Child {
        // What the one before it left when it was cut off.
        let _ = fs::remove_file(folder.join("pid"));
        let mut command = Command::new("/usr/sbin/apache2");
        command.args(["-D", "FOREGROUND", "-f"]).arg(folder.join("settings"));
        command.stdout(Stdio::null()).stderr(Stdio::null());
        as_nobody(&mut command);
        let mut server = command
            .spawn()
            .unwrap_or_else(|e| panic!("`apache2` does not run ({e}): run `bash tests/all.sh`"));
        wait_for(port, &mut server, "apache2");
        server
    }

    pub fn site(&self) -> PathBuf {
        self.folder.path().join("site")
    }

    pub fn cut_off(&mut self) {
        cut(&mut self.server);
    }

    pub fn again(&mut self) {
        self.server = Webdav::serve(self.folder.path(), self.port);
    }

    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

const NOBODY: u32 = 65534;

/// Whether whoever runs this has all rights. Apache does not serve with them; then it runs as the user who owns nothing.
fn has_all_rights() -> bool {
    std::os::unix::fs::MetadataExt::uid(&fs::metadata("/proc/self").unwrap()) == 0
}

fn owned_by_nobody(folders: &[&Path]) {
    for folder in folders.iter().filter(|_| has_all_rights()) {
        std::os::unix::fs::chown(folder, Some(NOBODY), Some(NOBODY)).unwrap();
        fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
    }
}

fn as_nobody(command: &mut Command) {
    use std::os::unix::process::CommandExt;
    if has_all_rights() {
        command.uid(NOBODY).gid(NOBODY);
    }
}

impl Drop for Webdav {
    fn drop(&mut self) {
        // Its children go with it when it is asked.
        crate::watching::signal(&self.server, "TERM");
        let _ = self.server.wait();
    }
}
