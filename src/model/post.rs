//! Where the finished site is put up, as `[post]` of `shop.toml` says it. No secret is ever part of it.

/// `[post]` of `shop.toml`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Post {
    pub to: PostTo,
    /// The file with what the host wants to be shown: for SFTP the private key of `ssh`, else lines such as
    /// `password = "…"`. From the shop's folder.
    pub key_file: Option<String>,
    /// For how many seconds nothing may change before `watch --post` posts.
    pub quiet: u32,
    /// For how many seconds a host that says nothing is waited for.
    pub patience: u32,
}

/// The four kinds of place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PostTo {
    /// A folder of this computer, from the shop's folder.
    Folder { folder: String },
    /// S3-compatible object storage; `folder` is what every name in the bucket begins with.
    Storage { endpoint: String, bucket: String, region: String, folder: String },
    /// A web space reached by SFTP; `folder` is from where one arrives.
    Sftp { host: String, port: Option<u16>, user: Option<String>, folder: String },
    /// A WebDAV share.
    Webdav { address: String, user: Option<String> },
}

impl PostTo {
    /// The place in words that tell it from every other, without any secret.
    pub fn words(&self) -> String {
        match self {
            PostTo::Folder { folder } => format!("the folder {folder}"),
            PostTo::Storage { endpoint, bucket, folder, .. } if folder.is_empty() => {
                format!("the bucket {bucket} at {endpoint}")
            }
            PostTo::Storage { endpoint, bucket, folder, .. } => {
                format!("{folder} in the bucket {bucket} at {endpoint}")
            }
            PostTo::Sftp { host, port, folder, .. } => {
                let port = port.map_or_else(String::new, |port| format!(":{port}"));
                match folder.is_empty() {
                    true => format!("{host}{port} by SFTP"),
                    false => format!("{folder} at {host}{port} by SFTP"),
                }
            }
            PostTo::Webdav { address, .. } => format!("{address} by WebDAV"),
        }
    }
}
