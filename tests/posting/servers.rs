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

/// S3-compatible object storage with one bucket.
pub struct Storage {
    server: Child,
    pub port: u16,
}

pub const BUCKET: &str = "my-studio";

impl Storage {
    pub fn start() -> Storage {
        let port = free_port();
        let mut command = tools::python();
        command.args(["-m", "moto.server", "-H", "127.0.0.1", "-p", &port.to_string()]);
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let mut server = command.spawn().expect("Python runs");
        wait_for(port, &mut server, "moto (run `bash tests/all.sh`, which installs it)");
        let storage = Storage { server, port };
        storage.asked("make", &[]);
        storage
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
             Subsystem sftp internal-sftp\n",
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
        let server = Sftp::serve(&folder, port);
        Sftp { folder, server, port }
    }

    fn serve(folder: &TempDir, port: u16) -> Child {
        let sshd = if Path::new("/usr/sbin/sshd").exists() { "/usr/sbin/sshd" } else { "sshd" };
        let mut command = Command::new(sshd);
        command.args(["-D", "-e", "-f"]).arg(folder.path().join("settings"));
        command.stdout(Stdio::null()).stderr(Stdio::null());
        let mut server =
            command.spawn().unwrap_or_else(|e| panic!("`sshd` does not run ({e}): run `bash tests/all.sh`"));
        wait_for(port, &mut server, "sshd");
        server
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
        let mut command = Command::new("/usr/sbin/apache2");
        command.args(["-D", "FOREGROUND", "-f"]).arg(at("settings"));
        command.stdout(Stdio::null()).stderr(Stdio::null());
        // It does not serve with all rights; then it runs as the user who owns nothing.
        as_nobody(&mut command, &[folder.path(), &at("locks"), &site]);
        let mut server = command
            .spawn()
            .unwrap_or_else(|e| panic!("`apache2` does not run ({e}): run `bash tests/all.sh`"));
        wait_for(port, &mut server, "apache2");
        Webdav { folder, server, port }
    }

    pub fn site(&self) -> PathBuf {
        self.folder.path().join("site")
    }

    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }
}

fn as_nobody(command: &mut Command, folders: &[&Path]) {
    use std::os::unix::fs::{MetadataExt, chown};
    use std::os::unix::process::CommandExt;
    const NOBODY: u32 = 65534;
    if fs::metadata("/proc/self").unwrap().uid() != 0 {
        return;
    }
    for folder in folders {
        chown(folder, Some(NOBODY), Some(NOBODY)).unwrap();
        fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
    }
    command.uid(NOBODY).gid(NOBODY);
}

impl Drop for Webdav {
    fn drop(&mut self) {
        // Its children go with it when it is asked.
        crate::watching::signal(&self.server, "TERM");
        let _ = self.server.wait();
    }
}
