//! The catalogue, for reading.

use tamis_wire::v1;
use tamis_wire::v1::food_service_server::FoodService;
use tonic::{Request, Response, Status};

use super::{Services, answer};
use crate::bridge;

#[tonic::async_trait]
impl FoodService for Services {
    async fn list_foods(
        &self,
        request: Request<v1::ListFoodsRequest>,
    ) -> Result<Response<v1::ListFoodsResponse>, Status> {
        answer(&self.0, request, bridge::foods).await
    }

    async fn get_food(
        &self,
        request: Request<v1::GetFoodRequest>,
    ) -> Result<Response<v1::GetFoodResponse>, Status> {
        answer(&self.0, request, |app, message| {
            let food = bridge::food(app, &message.id)?;
            Ok(v1::GetFoodResponse { food: Some(food) })
        })
        .await
    }
}
