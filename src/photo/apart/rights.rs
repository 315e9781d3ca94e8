//! The rights that a helper gives up before it opens its first photo: so that a decoder that a file leads astray
//! can reach nothing but the two pipes it was given.
//!
//! On every Unix: no file can be opened or grown, no process started, memory is bounded, no memory is dumped. On Linux,
//! besides, only the calls that decoding needs are let through (seccomp, Linux 3.17 and later; refused ones give
//! "not permitted"). A system that has neither goes on without; what then still holds is that it is another process.

/// The memory that a helper may ask for, in bytes: a photo's allowance, what is made of it, and the program itself.
#[cfg(unix)]
const MEMORY: u64 = 1 << 30;

/// Gives them up, for good.
pub(super) fn give_up() {
    #[cfg(unix)]
    bound();
    #[cfg(all(target_os = "linux", any(target_arch = "x86_64", target_arch = "aarch64")))]
    let _ = filter::install();
}

#[cfg(unix)]
fn bound() {
    use rustix::process::{Resource, Rlimit, setrlimit};
    let limits = [
        (Resource::As, MEMORY),
        // What is open stays open; nothing comes to it.
        (Resource::Nofile, 0),
        (Resource::Fsize, 0),
        (Resource::Core, 0),
        (Resource::Nproc, 0),
    ];
    for (resource, most) in limits {
        let _ = setrlimit(resource, Rlimit { current: Some(most), maximum: Some(most) });
    }
}

#[cfg(all(target_os = "linux", any(target_arch = "x86_64", target_arch = "aarch64")))]
mod filter {
    use seccompiler::{
        BackendError, BpfProgram, Error, SeccompAction, SeccompCmpArgLen, SeccompCmpOp, SeccompCondition,
        SeccompFilter, SeccompRule, apply_filter,
    };
    use std::collections::BTreeMap;

    /// Memory, locks of the allocator, random seeds of hash maps, time, and the way out (also by a panic or a signal).
    const FREELY: [i64; 19] = [
        libc::SYS_munmap,
        libc::SYS_mremap,
        libc::SYS_brk,
        libc::SYS_madvise,
        libc::SYS_futex,
        libc::SYS_getrandom,
        libc::SYS_clock_gettime,
        libc::SYS_clock_nanosleep,
        libc::SYS_sched_yield,
        libc::SYS_sched_getaffinity,
        libc::SYS_getpid,
        libc::SYS_gettid,
        libc::SYS_tgkill,
        libc::SYS_rt_sigaction,
        libc::SYS_rt_sigprocmask,
        libc::SYS_rt_sigreturn,
        libc::SYS_sigaltstack,
        libc::SYS_exit,
        libc::SYS_exit_group,
    ];

    pub(super) fn install() -> Result<(), Error> {
        let mut rules: BTreeMap<i64, Vec<SeccompRule>> =
            FREELY.into_iter().map(|call| (call, Vec::new())).collect();
        // Read from the one pipe, write to the other; memory that can be written is never run.
        rules.insert(libc::SYS_read, vec![first_is(0)?]);
        rules.insert(libc::SYS_write, vec![first_is(1)?]);
        rules.insert(libc::SYS_mmap, vec![not_run()?]);
        rules.insert(libc::SYS_mprotect, vec![not_run()?]);
        let architecture = std::env::consts::ARCH.try_into()?;
        let refused = SeccompAction::Errno(libc::EPERM as u32);
        let filter = SeccompFilter::new(rules, refused, SeccompAction::Allow, architecture)?;
        let program: BpfProgram = filter.try_into()?;
        apply_filter(&program)
    }

    fn first_is(file: u64) -> Result<SeccompRule, BackendError> {
        let it = SeccompCondition::new(0, SeccompCmpArgLen::Dword, SeccompCmpOp::Eq, file)?;
        SeccompRule::new(vec![it])
    }

    fn not_run() -> Result<SeccompRule, BackendError> {
        let run = libc::PROT_EXEC as u64;
        let it = SeccompCondition::new(2, SeccompCmpArgLen::Dword, SeccompCmpOp::MaskedEq(run), 0)?;
        SeccompRule::new(vec![it])
    }
}
